"""The audit trail, to read."""

from __future__ import annotations

from django.contrib import admin
from django.utils.translation import gettext_lazy as _

from guides.models import Address, Event

from .desk import Desk, ReadOnly


@admin.register(Event)
class EventAdmin(ReadOnly, Desk):
    list_display = ("at", "who", "verb", "guide", "lot", "reason")
    list_display_links = ("at",)
    # Not by months above the list: finding those reads the whole trail.
    list_filter = ("at", "verb", "by")
    list_select_related = ("by", "guide", "lot")
    search_fields = ("reason", "lot__name", "guide__slug")
    fields = (("at", "by"), "verb", ("guide", "lot"), "reason", "details")

    @admin.display(description=_("by"), ordering="by")
    def who(self, event: Event) -> str:
        return event.by.display_name


@admin.register(Address)
class AddressAdmin(ReadOnly, Desk):
    """Every code ever printed; find a lot by the code on a bag."""

    list_display = ("code", "lot", "created_at")
    list_select_related = ("lot",)
    search_fields = ("code", "lot__name")
    fields = ("code", "lot", "created_at")
