"""The roastery's identity: one row, so its list leads straight to it."""

from __future__ import annotations

from typing import Any

from django import forms
from django.conf import settings
from django.contrib import admin
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy as _

from guides.media.keep import Kept, keep_picture
from guides.models import Roastery
from guides.models.kept_picture import picture_name
from guides.presenters import contrast

from .desk import Desk
from .thumbnails import logo_shown
from .uploads import UploadsForm, held_field, picture_field


class RoasteryForm(UploadsForm):
    uploads = {"new_logo": (keep_picture, Kept)}
    new_logo = picture_field(_("Logo"))
    new_logo_held = held_field()
    no_logo = forms.BooleanField(label=_("Without a logo"), required=False)
    main_language = forms.ChoiceField(label=_("Main language"), choices=settings.LANGUAGES)
    further_languages = forms.MultipleChoiceField(
        label=_("Further languages"),
        choices=settings.LANGUAGES,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=_("Pages are offered in these as well."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        main, *further = self.instance.languages
        self.fields["main_language"].initial = main
        self.fields["further_languages"].initial = further

    def has_upload(self, name: str) -> bool:
        return True  # a roastery may be without

    def clean_accent(self) -> str:
        accent = str(self.cleaned_data["accent"])
        Roastery._meta.get_field("accent").run_validators(accent)
        found = contrast.ratio(accent, contrast.PAPER)
        if found < contrast.LEAST_FOR_TEXT:
            raise ValidationError(
                _("Accent colour: its contrast on paper is %(found).1f : 1, and text needs 4.5 : 1. Take it darker.")
                % {"found": found}
            )
        return accent

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if kept := self.kept.get("new_logo"):
            self.instance.logo = picture_name(kept.name, kept.widths[0], "webp")
        elif cleaned.get("no_logo"):
            self.instance.logo = ""
        main = cleaned.get("main_language")
        if main:
            further = [code for code in cleaned.get("further_languages", []) if code != main]
            self.instance.languages = [main, *further]
        return cleaned


@admin.register(Roastery)
class RoasteryAdmin(Desk):
    form = RoasteryForm
    readonly_fields = ("base_address", "time_zone", "logo_now")
    fieldsets = (
        (None, {"fields": ("name", "place", "accent", "logo_now", "new_logo", "new_logo_held", "no_logo")}),
        (_("Languages"), {"fields": ("main_language", "further_languages")}),
        (_("Where it is brewed"), {"fields": ("altitude_m", ("tap_hardness_mg_l", "tap_alkalinity_mg_l"))}),
        (
            _("Set by whoever runs the site"),
            {"fields": ("base_address", "time_zone"), "description": _("Environment variables of the server.")},
        ),
    )

    @admin.display(description=_("logo"))
    def logo_now(self, roastery: Roastery) -> SafeString | str:
        return logo_shown(roastery)

    @admin.display(description=_("address customers reach"))
    def base_address(self, roastery: Roastery) -> str:
        return roastery.base_address

    @admin.display(description=_("time zone"))
    def time_zone(self, roastery: Roastery) -> str:
        return roastery.time_zone

    def has_add_permission(self, request: HttpRequest) -> bool:
        return super().has_add_permission(request) and not Roastery.objects.exists()

    def has_delete_permission(self, request: HttpRequest, obj: Roastery | None = None) -> bool:
        return False

    def changelist_view(self, request: HttpRequest, extra_context: dict[str, Any] | None = None) -> HttpResponse:
        only = Roastery.objects.first()
        if only is None:
            return super().changelist_view(request, extra_context)
        return HttpResponseRedirect(reverse("admin:guides_roastery_change", args=[only.pk]))
