"""Coffees as they are sold."""

from django.contrib import admin
from django.utils.translation import gettext_lazy as _

from guides.models import Coffee

from .desk import Desk


@admin.register(Coffee)
class CoffeeAdmin(Desk):
    list_display = ("name", "code", "origin", "process", "roast_level", "is_current")
    list_filter = ("is_current", "roast_level")
    search_fields = ("name", "code", "origin")
    prepopulated_fields = {"slug": ("name",)}
    fieldsets = (
        (None, {"fields": ("name", ("code", "slug"), "is_current")}),
        (_("What it is"), {"fields": (("origin", "process"), "roast_level", "description")}),
        (_("For shops"), {"fields": ("gtin",)}),
    )
