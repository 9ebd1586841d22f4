"""Trial brews and check brews."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import admin
from django.db.models import Field
from django.forms import Field as FormField
from django.forms import ModelForm
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils.text import capfirst
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from guides.calculations.plan import Plan
from guides.lifecycle import trials
from guides.models import TrialBrew
from guides.presenters import brew_after, numbers, trial_sheet
from guides.presenters.numbers import Figures

from . import trial_asked, trial_fields
from .acts import ActsAdmin, current_user
from .check_brew import BackToReview
from .clock import ClockTimes
from .desk import Desk
from .forms import NamedFieldsForm
from .pours_field import PoursField
from .trial_acts import TRIAL_ACTS
from .trial_bench import Benched
from .trial_planning import Planned
from .waiting_filters import MissedFilter


class TrialBrewForm(NamedFieldsForm):
    # What the page that planned the brew was asked for; from it the plan is made again when the brew is logged.
    intention = forms.CharField(required=False, max_length=400, widget=forms.HiddenInput)

    def clean_intention(self) -> Plan | None:
        return trial_asked.plan_of(self.cleaned_data["intention"])

    class Meta:
        help_texts = {
            "opened_s": _("Minutes and seconds, such as 1:15; empty without a valve."),
            "first_drip_s": _("Minutes and seconds, such as 1:17."),
            "drained_s": _("When no more runs off, such as 2:30."),
            "cup_g": _("With the water added, such as 205."),
            "strength_percent": _("As the refractometer shows it, such as 1.31."),
            "taste": _("In your own words, such as: honey, thin at the end."),
            "grind_um": _("Such as 740."),
            "pours": _("Only where they were not as planned; a line each, such as 0:00–0:12 60."),
            "water_used": _("Such as: tap, softened."),
            "hardness_mg_l": _("As at the roastery's tap, unless you write otherwise."),
            "bed_c": _("As a thin probe in the slurry shows it, such as 89."),
            "last_drops_percent": _("Of what drips while you lift the brewer off, if you read it, such as 0.8."),
            "repeats": _("The brew it was begun from, with one thing changed."),
        }


@admin.register(TrialBrew)
class TrialBrewAdmin(Planned, Benched, BackToReview, ActsAdmin, ClockTimes, Desk):
    form = TrialBrewForm
    acts = TRIAL_ACTS
    change_form_template = "guides/admin/trial_form.html"
    change_list_template = "guides/admin/trial_list.html"
    clock_fields = ("opened_s", "first_drip_s", "drained_s")
    list_display = ("lot", "brewed_at", "brewed_by", "version", "is_check_brew", "drained", "strength_percent")
    # Not by months above the list: finding those reads every brew there is.
    list_filter = ("brewed_at", "is_check_brew", MissedFilter, "lot__coffee", "brewer")
    list_select_related = ("lot", "brewed_by", "version")
    search_fields = ("lot__name", "version__title", "taste")
    raw_id_fields = ("repeats",)
    radio_fields = dict.fromkeys(trial_fields.UNANSWERED, admin.HORIZONTAL)

    def get_fieldsets(self, request: HttpRequest, obj: TrialBrew | None = None) -> Any:
        return trial_fields.sections(request, obj)

    def formfield_for_choice_field(self, db_field: Field, request: HttpRequest, **kwargs: Any) -> Any:
        if db_field.name in trial_fields.UNANSWERED:
            unanswered = [("", trial_fields.UNANSWERED[db_field.name])]
            kwargs["choices"] = db_field.get_choices(include_blank=True, blank_choice=unanswered)
        return super().formfield_for_choice_field(db_field, request, **kwargs)

    def formfield_for_dbfield(self, db_field: Field, request: HttpRequest, **kwargs: Any) -> FormField | None:
        if db_field.name == "pours":
            return PoursField(label=capfirst(db_field.verbose_name), required=False)
        return super().formfield_for_dbfield(db_field, request, **kwargs)

    def response_add(self, request: HttpRequest, obj: TrialBrew, post_url_continue: str | None = None) -> HttpResponse:
        """Whoever logs a brew wants to see what it says; a check brew in review goes on with the review."""
        response = super().response_add(request, obj, post_url_continue)
        if getattr(response, "url", "") == reverse("admin:guides_trialbrew_changelist"):
            return HttpResponseRedirect(self.change_address(obj))
        return response

    def save_model(self, request: HttpRequest, obj: TrialBrew, form: ModelForm, change: bool) -> None:
        trials.log(obj, by=current_user(request), plan=form.cleaned_data.get("intention"))

    @admin.display(description=_("drained"), ordering="drained_s")
    def drained(self, brew: TrialBrew) -> str | None:
        return None if brew.drained_s is None else numbers.clock(brew.drained_s)

    def get_changeform_initial_data(self, request: HttpRequest) -> dict[str, Any]:
        asked = super().get_changeform_initial_data(request)
        if asked.get("strength"):  # as the brewing page asks it
            asked["found"] = asked.pop("strength")
        balance = (
            brew_after.balance_of(str(asked.pop("balance", "")), str(asked.pop("feel", "")))
            if "feel" in asked
            else None
        )
        water = trial_fields.usual_water(request)
        return {"brewed_by": request.user.pk, **water, **asked, **({"balance": balance.value} if balance else {})}

    def beside(self, request: HttpRequest, obj: TrialBrew | None) -> dict[str, Any]:
        shown = super().beside(request, obj)
        if obj is not None:
            return shown
        return {**shown, "filled_in": trial_fields.filled_in(request, Figures(get_language() or "en"))}

    def about(self, request: HttpRequest, obj: TrialBrew) -> dict[str, Any]:
        return {
            "said": trial_sheet.build(obj.pk, Figures(get_language() or "en")),
            "may_log": self.has_add_permission(request),
        }
