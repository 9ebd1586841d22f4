"""Packed lots: what is in the bags, which guides belong to them, their codes, their inserts."""

from __future__ import annotations

from typing import Any

from django import forms
from django.conf import settings
from django.contrib import admin
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.urls import URLPattern, path
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy as _

from guides.calculations.validity import OutOfRange
from guides.choices import Follow
from guides.lifecycle import lots as lifecycle_lots
from guides.models import Assignment, Event, Lot, LotPart
from guides.presenters import addresses
from guides.presenters.bag_count import filled
from guides.queries import lots

from . import insert_button, loss_page
from .acts import Act, current_user
from .assignments import AssignmentInline, RowRefused, save_assignments
from .desk import RowsInline
from .dispatching import SEND_BAGS
from .lists import ListsInAndOut
from .mixins import ActHistory
from .period import by_period
from .recalls import RECALL
from .tracing import Traced
from .waiting_filters import LossFilter, WindowFilter

EXPLAIN_LOSS = Act(
    name="explain-loss",
    label=_("Explain the roast loss"),
    explain=_("Written down with your name; the lot then waits no longer, unless its loss is corrected."),
    done=_("The loss of %(object)s is explained."),
    may=lambda user, _lot: user.has_perm("guides.change_lot"),
    fits=loss_page.is_open,
    run=loss_page.explained,
    form=loss_page.ReasonForm,
)


class GuidesFilter(admin.SimpleListFilter):
    title = _("guides")
    parameter_name = "guides"

    def lookups(self, request: HttpRequest, model_admin: Any) -> list[tuple[str, Any]]:
        return [("none", _("without a guide")), ("held", _("with a guide held")), ("some", _("with a guide"))]

    def queryset(self, request: HttpRequest, queryset: QuerySet[Lot]) -> QuerySet[Lot]:
        shown = Assignment.objects.exclude(follow=Follow.HELD).values("lot")
        if self.value() == "none":
            return queryset.exclude(pk__in=shown)
        if self.value() == "held":
            return queryset.filter(pk__in=Assignment.objects.filter(follow=Follow.HELD).values("lot"))
        return queryset.filter(pk__in=shown) if self.value() == "some" else queryset


class RecalledFilter(admin.SimpleListFilter):
    title = _("recall")
    parameter_name = "recalled"

    def lookups(self, request: HttpRequest, model_admin: Any) -> list[tuple[str, Any]]:
        return [("yes", _("recalled")), ("no", _("not recalled"))]

    def queryset(self, request: HttpRequest, queryset: QuerySet[Lot]) -> QuerySet[Lot]:
        if self.value() in ("yes", "no"):
            return queryset.filter(recalled_at__isnull=self.value() == "no")
        return queryset


class LotPartInline(RowsInline):
    model = LotPart
    extra = 0
    verbose_name_plural = _("Filled from these roasts")


@admin.register(Lot)
class LotAdmin(Traced, ActHistory, ListsInAndOut):
    lists = ("lots", "lot-parts")
    acts = (SEND_BAGS, RECALL, EXPLAIN_LOSS)
    change_form_template = "guides/admin/lot_form.html"
    inlines = (AssignmentInline, LotPartInline)
    list_display = ("name", "coffee", "roasted_on", "guide_numbers", "is_public", "recalled")
    list_filter = (
        *(GuidesFilter, WindowFilter, LossFilter, RecalledFilter),
        *("is_public", by_period("roasted_on"), "coffee"),
    )
    list_select_related = ("coffee",)
    search_fields = ("name", "coffee__name", "addresses__code")
    fieldsets = (
        (None, {"fields": ("name", "coffee", "roasted_on", "is_public")}),
        (
            _("Weights"),
            {"fields": (("green_kg", "loss_percent", "qc_kg", "bag_g"), "loss_history", "bag_count")},
        ),
        (_("How fresh"), {"fields": ("roast_level", ("gas", "gas_on"), ("rest_days", "best_days"))}),
    )

    def get_urls(self) -> list[URLPattern]:
        view = self.admin_site.admin_view(self.insert_view)
        own = path("<path:object_id>/insert/<int:guide>/<slug:language>.pdf", view, name="guides_lot_insert")
        return [own, *super().get_urls()]

    def get_queryset(self, request: HttpRequest) -> QuerySet[Lot]:
        return super().get_queryset(request).select_related("coffee").prefetch_related("assignments__guide")

    def get_readonly_fields(self, request: HttpRequest, obj: Lot | None = None) -> tuple[str, ...]:
        # A name is on bags from the first one packed, and a code leads to its coffee from when it is made.
        worked_out = ("bag_count", "loss_history")
        if obj is None:
            return worked_out
        return ("name", "coffee", *worked_out) if obj.addresses.exists() else ("name", *worked_out)

    def has_delete_permission(self, request: HttpRequest, obj: Lot | None = None) -> bool:
        return False  # its codes are printed, and a code always leads somewhere

    @admin.display(description=_("guides"))
    def guide_numbers(self, lot: Lot) -> str:
        shown = [row for row in lot.assignments.all() if row.follow != Follow.HELD]
        return ", ".join(str(row.guide.number) for row in shown)

    @admin.display(description=_("recalled"), boolean=True, ordering="recalled_at")
    def recalled(self, lot: Lot) -> bool:
        return lot.is_recalled

    @admin.display(description=_("bags it fills"))
    def bag_count(self, lot: Lot) -> str | SafeString:
        if lot.green_kg is None or lot.loss_percent is None:
            return _("shown once it is saved")
        try:
            return format_html("{} × {} g", filled(lot), lot.bag_g)
        except OutOfRange as error:
            return str(error)

    @admin.display(description=_("beside its history"))
    def loss_history(self, lot: Lot) -> str | SafeString:
        return loss_page.of_lot(lot)

    def events_of(self, obj: Any) -> QuerySet[Event]:
        return Event.objects.filter(lot=obj)

    def changeform_view(
        self,
        request: HttpRequest,
        object_id: str | None = None,
        form_url: str = "",
        extra_context: dict[str, Any] | None = None,
    ) -> HttpResponse:
        try:
            return super().changeform_view(request, object_id, form_url, extra_context)
        except RowRefused as refused:
            request.row_refused = refused  # type: ignore[attr-defined]
            return super().changeform_view(request, object_id, form_url, extra_context)

    def save_model(self, request: HttpRequest, obj: Lot, form: forms.ModelForm, change: bool) -> None:
        if change:
            super().save_model(request, obj, form, change)
        else:
            lifecycle_lots.register(obj, by=current_user(request))

    def save_formset(self, request: HttpRequest, form: forms.ModelForm, formset: Any, change: bool) -> None:
        if formset.model is Assignment:
            save_assignments(formset, by=current_user(request))
        else:
            super().save_formset(request, form, formset, change)

    def about(self, request: HttpRequest, obj: Lot) -> dict[str, Any]:
        code = lots.code_of(obj)
        return {
            **super().about(request, obj),
            "code": code,
            "public_address": settings.PUBLIC_BASE_URL + addresses.of_lot(code).path,
            "inserts": insert_button.offered(obj) if request.user.has_perm("guides.print_lot") else None,
        }

    def insert_view(self, request: HttpRequest, object_id: str, guide: int, language: str) -> HttpResponse:
        return insert_button.answer(self, request, object_id, guide, language)
