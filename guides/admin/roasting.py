"""Green lots and roasts: where a trace begins, and from where all that holds them is called back."""

from __future__ import annotations

from django.contrib import admin
from django.db.models import Model, QuerySet
from django.utils.safestring import SafeString
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from guides.models import Event, GreenLot, Roast
from guides.presenters.numbers import Figures

from . import loss_page
from .lists import ListsInAndOut
from .mixins import ActHistory
from .period import by_period
from .recalls import RECALL_ALL
from .tracing import Traced


class Origin(Traced, ActHistory, ListsInAndOut):
    acts = (RECALL_ALL,)
    change_form_template = "guides/admin/origin_form.html"

    def events_of(self, obj: Model) -> QuerySet[Event]:
        return Event.objects.filter(details__what=self.opts.model_name, details__pk=obj.pk)


@admin.register(GreenLot)
class GreenLotAdmin(Origin):
    lists = ("green-lots",)
    list_display = ("name", "origin", "supplier_reference", "arrived_on", "mass_kg", "recalled")
    list_filter = (by_period("arrived_on"),)
    search_fields = ("name", "origin", "supplier_reference")

    @admin.display(description=_("recalled"), boolean=True, ordering="recalled_at")
    def recalled(self, green: GreenLot) -> bool:
        return green.is_recalled


@admin.register(Roast)
class RoastAdmin(Origin):
    lists = ("roasts",)
    list_display = ("name", "green_lot", "roasted_on", "green_kg", "roasted_kg", "loss", "recalled")
    list_filter = ("green_lot", by_period("roasted_on"))
    list_select_related = ("green_lot",)
    search_fields = ("name", "green_lot__name")
    fieldsets = ((None, {"fields": ("name", "green_lot", "roasted_on", ("green_kg", "roasted_kg"), "loss_history")}),)
    readonly_fields = ("loss_history",)

    @admin.display(description=_("recalled"), boolean=True, ordering="recalled_at")
    def recalled(self, roast: Roast) -> bool:
        return roast.is_recalled

    @admin.display(description=_("loss"))
    def loss(self, roast: Roast) -> str:
        return Figures(get_language() or "en").percent(float(roast.loss_percent) / 100, 1)

    @admin.display(description=_("loss beside its history"))
    def loss_history(self, roast: Roast) -> str | SafeString:
        return loss_page.of_roast(roast)
