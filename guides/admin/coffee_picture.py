"""Pictures of coffees."""

from __future__ import annotations

from typing import Any

from django.contrib import admin
from django.http import HttpRequest
from django.utils.safestring import SafeString
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from guides.models import CoffeePicture
from guides.queries import house

from .desk import Desk
from .thumbnails import thumbnail
from .uploads import LANGUAGES, PictureForm


class CoffeePictureForm(PictureForm):
    class Meta:
        model = CoffeePicture
        fields = ("coffee",)

    def written_in(self) -> str:
        return house.current().main_language


@admin.register(CoffeePicture)
class CoffeePictureAdmin(Desk):
    form = CoffeePictureForm
    list_display = ("coffee", "shown")
    list_select_related = ("coffee",)
    search_fields = ("coffee__name", "coffee__code")

    def get_form(self, request: HttpRequest, obj: Any = None, change: bool = False, **kwargs: Any) -> Any:
        return super().get_form(request, obj, change, **{**kwargs, "fields": ["coffee"]})

    def get_readonly_fields(self, request: HttpRequest, obj: Any = None) -> tuple[str, ...]:
        return ("shown",) if obj else ()

    def get_fieldsets(self, request: HttpRequest, obj: Any = None) -> Any:
        words = tuple(f"alt_{code}" for code in LANGUAGES)
        if obj is not None and not self.has_change_permission(request, obj):
            return ((None, {"fields": ("coffee", "shown")}),)
        shown = ("shown",) if obj else ()
        return ((None, {"fields": ("coffee", *shown, "picture", "picture_held", *words)}),)

    @admin.display(description=_("picture"))
    def shown(self, row: CoffeePicture) -> SafeString:
        return thumbnail(row, get_language() or "")
