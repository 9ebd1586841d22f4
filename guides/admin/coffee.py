"""Coffees as they are sold."""

from __future__ import annotations

from typing import Any

from django.contrib import admin
from django.db.models import Q, QuerySet
from django.utils.translation import gettext_lazy as _

from guides.models import Coffee, Event

from .lists import ListsInAndOut
from .mixins import ActHistory


@admin.register(Coffee)
class CoffeeAdmin(ActHistory, ListsInAndOut):
    lists = ("coffees",)
    list_display = ("name", "code", "origin", "process", "roast_level", "is_current")
    list_filter = ("is_current", "roast_level")
    search_fields = ("name", "code", "origin")
    prepopulated_fields = {"slug": ("name",)}
    fieldsets = (
        (None, {"fields": ("name", ("code", "slug"), "is_current")}),
        (_("What it is"), {"fields": (("origin", "process"), "roast_level", "description")}),
        (_("For shops"), {"fields": ("gtin", "prints_digital_link")}),
    )

    def events_of(self, obj: Any) -> QuerySet[Event]:
        """Everything done to its guides and its lots."""
        return Event.objects.filter(Q(guide__coffee=obj) | Q(lot__coffee=obj))
