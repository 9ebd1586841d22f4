"""The roastery's identity: one row, so its list leads straight to it."""

from __future__ import annotations

from typing import Any

from django import forms
from django.conf import settings
from django.contrib import admin
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from guides.models import Roastery
from guides.presenters import contrast

from .desk import Desk
from .forms import NamedFieldsForm


class RoasteryForm(NamedFieldsForm):
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
        cleaned = super().clean() or {}
        main = cleaned.get("main_language")
        if main:
            further = [code for code in cleaned.get("further_languages", []) if code != main]
            self.instance.languages = [main, *further]
        return cleaned


@admin.register(Roastery)
class RoasteryAdmin(Desk):
    form = RoasteryForm
    readonly_fields = ("base_address", "time_zone")
    fieldsets = (
        (None, {"fields": ("name", "place", "accent")}),
        (_("Languages"), {"fields": ("main_language", "further_languages")}),
        (_("Where it is brewed"), {"fields": ("altitude_m", ("tap_hardness_mg_l", "tap_alkalinity_mg_l"))}),
        (
            _("Set by whoever runs the site"),
            {"fields": ("base_address", "time_zone"), "description": _("Environment variables of the server.")},
        ),
    )

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
