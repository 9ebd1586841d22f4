"""Brewers, what they are made of, and grinders."""

from __future__ import annotations

from typing import Any

from django.contrib import admin
from django.utils.translation import gettext_lazy as _

from guides.models import Brewer, Grinder, GrinderPoint, Paper, ValveBase, Vessel

from .brewer_form import BrewerForm
from .desk import Desk, RowsInline
from .lists import ListsInAndOut


@admin.register(Vessel)
class VesselAdmin(Desk):
    list_display = ("name", "shape", "usable_ml")
    list_filter = ("shape",)
    search_fields = ("name",)
    fieldsets = (
        (None, {"fields": ("name", "usable_ml", "heat_j_per_k")}),
        (
            _("Shape"),
            {
                "fields": ("shape", ("half_angle_deg", "outlet_radius_mm"), "radius_mm"),
                "description": _("A cone needs half angle and outlet radius, a straight wall its radius."),
            },
        ),
        (_("What fits"), {"fields": ("fits_papers", "fits_bases")}),
    )


@admin.register(ValveBase, Paper)
class PartAdmin(Desk):
    list_display = ("name",)
    search_fields = ("name",)


@admin.register(Brewer)
class BrewerAdmin(Desk):
    form = BrewerForm
    change_form_template = "guides/admin/brewer_form.html"
    list_display = ("name", "outflow", "vessel", "valve_base", "paper")
    list_filter = ("outflow",)
    list_select_related = ("vessel", "valve_base", "paper")
    search_fields = ("name",)
    prepopulated_fields = {"slug": ("name",)}
    fieldsets = (
        (None, {"fields": (("name", "slug"),)}),
        (_("How it stands on the server"), {"fields": ("vessel", "outflow", "valve_base", "paper")}),
    )


class GrinderPointInline(RowsInline):
    model = GrinderPoint
    description = _("Two points make a line; four or more make a good one. Settings outside them are not guessed.")

    def get_extra(self, request: Any, obj: Any = None, **kwargs: Any) -> int:
        return 0 if obj else 4


@admin.register(Grinder)
class GrinderAdmin(ListsInAndOut):
    lists = ("grinders", "grinder-points")
    list_display = ("name", "setting_word", "step")
    search_fields = ("name",)
    prepopulated_fields = {"slug": ("name",)}
    inlines = (GrinderPointInline,)
    fieldsets = ((None, {"fields": (("name", "slug"), ("setting_word", "step"))}),)
