"""Brews that customers sent: to read, and to delete."""

from typing import Any

from django.contrib import admin
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _

from guides.models import HomeBrew
from guides.presenters import numbers

from .desk import Desk


@admin.register(HomeBrew)
class HomeBrewAdmin(Desk):
    list_display = ("sent_at", "version", "lot", "dose_g", "grind_um", "drained")
    list_filter = ("version__guide", "language")
    list_select_related = ("version", "lot")
    search_fields = ("text",)
    date_hierarchy = "sent_at"
    fields = readonly_fields = (
        "version",
        "lot",
        "sent_at",
        "language",
        "dose_g",
        "grind_um",
        "brewer",
        "drained",
        "text",
    )

    @admin.display(description=_("drained"), ordering="drained_s")
    def drained(self, brew: HomeBrew) -> str:
        return "" if brew.drained_s is None else numbers.clock(brew.drained_s)

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False
