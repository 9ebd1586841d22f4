"""Coffees as they are sold."""

from __future__ import annotations

from typing import Any

from django.contrib import admin
from django.db.models import Q, QuerySet
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _

from guides.choices import Verb
from guides.models import Coffee, Event

from .acts import ActsAdmin
from .lists import ListsInAndOut
from .merging import MERGE
from .mixins import ActHistory


@admin.register(Coffee)
class CoffeeAdmin(ActsAdmin, ActHistory, ListsInAndOut):
    lists = ("coffees",)
    acts = (MERGE,)
    change_form_template = "guides/admin/coffee_form.html"
    list_display = ("name", "code", "origin", "process", "roast_level", "is_current", "merged_into")
    list_select_related = ("merged_into",)
    list_filter = ("is_current", "roast_level")
    search_fields = ("name", "code", "origin")
    prepopulated_fields = {"slug": ("name",)}
    fieldsets = (
        (None, {"fields": ("name", ("code", "slug"), "is_current")}),
        (_("What it is"), {"fields": (("origin", "process"), "roast_level", "description")}),
        (_("For shops"), {"fields": ("gtin", "prints_digital_link")}),
    )

    def events_of(self, obj: Any) -> QuerySet[Event]:
        """Everything done to its guides and its lots, and what became part of it."""
        merged = Q(verb=Verb.MERGED_COFFEES, lot=None) & (Q(details__into=obj.pk) | Q(details__coffee=obj.pk))
        return Event.objects.filter(Q(guide__coffee=obj) | Q(lot__coffee=obj) | merged)

    def has_change_permission(self, request: HttpRequest, obj: Coffee | None = None) -> bool:
        return super().has_change_permission(request, obj) and (obj is None or obj.merged_into_id is None)

    def has_delete_permission(self, request: HttpRequest, obj: Coffee | None = None) -> bool:
        return super().has_delete_permission(request, obj) and (obj is None or obj.merged_into_id is None)

    def get_fieldsets(self, request: HttpRequest, obj: Coffee | None = None) -> Any:
        fieldsets = super().get_fieldsets(request, obj)
        if obj is None or obj.merged_into_id is None:
            return fieldsets
        return (
            (None, {"fields": ("merged_into",), "description": _("What is left of it leads there, and stays.")}),
            *fieldsets,
        )
