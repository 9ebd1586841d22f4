"""Guide versions: where a guide is written, checked, reviewed, published and withdrawn."""

from __future__ import annotations

from typing import Any

from django.contrib import admin
from django.contrib.admin.utils import unquote
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.db.models import QuerySet
from django.forms import ModelForm
from django.http import HttpRequest, HttpResponse
from django.template.response import TemplateResponse
from django.urls import reverse
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from guides.choices import FROZEN_STATES
from guides.lifecycle import draft, writers
from guides.lifecycle.errors import Refusal
from guides.models import Event, GuideVersion, Step
from guides.presenters.numbers import Figures
from guides.presenters.trial_words import brew_name
from guides.queries import behind, versions

from . import check_panel
from .acts import ActsAdmin, current_user
from .conflicts import hold, rows_as_they_are
from .desk import Desk
from .first_version import BegunFromAPlan
from .late import typed_rows
from .live_check import LiveCheck
from .mixins import ActHistory, LockedOnceSubmitted, locked_reason
from .previewed import Previewed
from .reviewed import Reviewed
from .saves import SavesTold
from .step_inline import StepInline
from .translations import TranslationsPage
from .version_acts import VERSION_ACTS
from .version_form import VersionForm
from .waiting_filters import MineFilter, TranslationFilter


@admin.register(GuideVersion)
class GuideVersionAdmin(
    TranslationsPage,
    LockedOnceSubmitted,
    Reviewed,
    ActHistory,
    SavesTold,
    BegunFromAPlan,
    LiveCheck,
    Previewed,
    ActsAdmin,
    Desk,
):
    form = VersionForm
    acts = VERSION_ACTS
    inlines = (StepInline,)
    change_form_template = "guides/admin/version_form.html"
    list_display = ("title", "guide", "state", "revision", "brewer", "submitted_by", "published_at")
    list_filter = (MineFilter, TranslationFilter, "state", "guide__coffee", "brewer")
    list_select_related = ("guide", "brewer", "submitted_by")
    search_fields = ("title", "guide__slug", "guide__coffee__name")
    ordering = ("guide__number", "-revision")
    fieldsets = (
        (None, {"fields": ("guide", "title", "summary", "brewer", "language")}),
        (
            _("Numbers"),
            {
                "fields": (
                    ("dose_g", "grind_um", "kettle_c"),
                    ("water_g", "bypass_g", "bypass_to_taste"),
                    ("ice_g", "server_ml", "valve_shut_at_start"),
                )
            },
        ),
        (
            _("What the cup should be"),
            {"fields": (("strength_low_percent", "strength_high_percent", "extraction_percent"),)},
        ),
        (_("In depth"), {"fields": ("in_depth", "why", "change_note")}),
    )

    def get_queryset(self, request: HttpRequest) -> QuerySet[GuideVersion]:
        whole = versions.whole().select_related("submitted_by", "published_by", "withdrawn_by")
        # Whoever packs or sells needs what is printed; what is being written is for those who brew and review.
        return whole if request.user.has_perm("guides.view_trialbrew") else whole.filter(state__in=FROZEN_STATES)

    def get_readonly_fields(self, request: HttpRequest, obj: GuideVersion | None = None) -> tuple[str, ...]:
        return ("guide",) if obj else ()

    def anchor(self, obj: GuideVersion, refusal: Refusal) -> str:
        return check_panel.anchor(obj, refusal)

    def events_of(self, obj: Any) -> QuerySet[Event]:
        return Event.objects.filter(version_id=obj.pk)

    # Saving

    def changeform_view(
        self,
        request: HttpRequest,
        object_id: str | None = None,
        form_url: str = "",
        extra_context: dict[str, Any] | None = None,
    ) -> HttpResponse:
        if request.method != "POST" or object_id is None:
            return super().changeform_view(request, object_id, form_url, extra_context)
        with transaction.atomic():
            version = hold(unquote(object_id))
            if version is None and self._may_write(request):
                return self._too_late(request, None)
            try:
                return super().changeform_view(request, object_id, form_url, extra_context)
            except PermissionDenied:
                if version is None or not self._may_write(request) or not locked_reason(version):
                    raise
                return self._too_late(request, version)

    def act_view(self, request: HttpRequest, object_id: str, name: str) -> HttpResponse:
        if request.method != "POST":
            return super().act_view(request, object_id, name)
        with transaction.atomic():
            hold(object_id)
            return super().act_view(request, object_id, name)

    def get_formset_kwargs(self, request: HttpRequest, obj: Any, inline: Any, prefix: str) -> dict[str, Any]:
        arguments = super().get_formset_kwargs(request, obj, inline, prefix)
        if "data" in arguments and obj.pk:
            existing = obj.steps.order_by("position", "pk").values_list("pk", flat=True)
            arguments["data"] = rows_as_they_are(arguments["data"], prefix, "id", existing)
        return arguments

    def save_model(self, request: HttpRequest, obj: GuideVersion, form: ModelForm, change: bool) -> None:
        if change:
            obj.edit_number += 1
        super().save_model(request, obj, form, change)
        writers.record_edit(obj, by=current_user(request))
        if not change:
            draft.record_created(obj, by=current_user(request))

    def _may_write(self, request: HttpRequest) -> bool:
        return request.user.has_perm("guides.change_guideversion")

    def _too_late(self, request: HttpRequest, version: GuideVersion | None) -> HttpResponse:
        context = {
            **self.admin_site.each_context(request),
            "title": _("Not saved"),
            "opts": self.opts,
            "original": version,
            "reason": locked_reason(version) or _("This draft is not there any more; somebody has deleted it."),
            "typed": typed_rows(request.POST, GuideVersion, Step),
            "back": self.change_address(version) if version else reverse("admin:guides_guide_changelist"),
        }
        return TemplateResponse(request, "guides/admin/late.html", context, status=409)

    # Showing

    def beside(self, request: HttpRequest, obj: GuideVersion | None) -> dict[str, Any]:
        return {**super().beside(request, obj), "show_save_and_add_another": False}

    def about(self, request: HttpRequest, obj: GuideVersion) -> dict[str, Any]:
        stands = behind.behind(obj)
        chosen = stands.chosen and brew_name(stands.chosen, Figures(get_language() or "en"))
        return {"locked": locked_reason(obj), "stands": stands, "chosen_name": chosen}
