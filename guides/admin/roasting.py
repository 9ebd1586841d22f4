"""Green lots and roasts: where a trace begins."""

from __future__ import annotations

from django.contrib import admin
from django.utils.safestring import SafeString
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from guides.models import GreenLot, Roast
from guides.presenters.numbers import Figures

from . import loss_page
from .lists import ListsInAndOut


@admin.register(GreenLot)
class GreenLotAdmin(ListsInAndOut):
    lists = ("green-lots",)
    list_display = ("name", "origin", "supplier_reference", "arrived_on", "mass_kg")
    search_fields = ("name", "origin", "supplier_reference")
    date_hierarchy = "arrived_on"


@admin.register(Roast)
class RoastAdmin(ListsInAndOut):
    lists = ("roasts",)
    list_display = ("name", "green_lot", "roasted_on", "green_kg", "roasted_kg", "loss")
    list_filter = ("green_lot",)
    list_select_related = ("green_lot",)
    search_fields = ("name", "green_lot__name")
    date_hierarchy = "roasted_on"
    fieldsets = ((None, {"fields": ("name", "green_lot", "roasted_on", ("green_kg", "roasted_kg"), "loss_history")}),)
    readonly_fields = ("loss_history",)

    @admin.display(description=_("loss"))
    def loss(self, roast: Roast) -> str:
        return Figures(get_language() or "en").percent(float(roast.loss_percent) / 100, 1)

    @admin.display(description=_("loss beside its history"))
    def loss_history(self, roast: Roast) -> str | SafeString:
        return loss_page.of_roast(roast)
