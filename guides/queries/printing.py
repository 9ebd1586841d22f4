"""Own sizes and label stock, and what they can be tried with."""

from __future__ import annotations

from django.db.models import QuerySet

from guides.choices import State
from guides.models import GuideVersion, LabelStock, Lot, PrintFormat

from . import lots

_LOOKED_AT = 20


def formats() -> QuerySet[PrintFormat]:
    """Give the own sizes by name."""
    return PrintFormat.objects.order_by("name")


def stocks() -> QuerySet[LabelStock]:
    """Give the label stock by name."""
    return LabelStock.objects.order_by("name")


def newest_printable() -> tuple[Lot, GuideVersion] | None:
    """Give the newest lot that something can be printed for, with the first guide shown for it."""
    newest = Lot.objects.filter(recalled_at__isnull=True).select_related("coffee").order_by("-roasted_on", "-pk")
    for lot in newest[:_LOOKED_AT]:
        shown = [version for _row, version in lots.guides_of(lot) if version.state == State.PUBLISHED]
        if shown and lots.code_of(lot):
            return lot, shown[0]
    return None
