"""Blind tastings, with everything their pages show."""

from __future__ import annotations

from itertools import chain

from django.db.models import QuerySet

from guides.models import Lot, Taster, Tasting, TrialBrew

MOST_OFFERED = 15


def by_number(number: str) -> Tasting | None:
    """Find a tasting by the number that tasters type."""
    return whole().filter(number=number).first()


def whole() -> QuerySet[Tasting]:
    """Give tastings with cups, what is in them, tasters and notes, in a constant number of queries."""
    return Tasting.objects.select_related("opened_by", "revealed_by").prefetch_related(
        "cups__lot__coffee",
        "cups__trial_brew__lot",
        "cups__trial_brew__version__guide",
        "tasters__choice",
        "tasters__notes__cup",
    )


def taster(tasting: Tasting, seat: int) -> Taster | None:
    """Give who sits at a place of a tasting that is at hand whole."""
    return next((each for each in tasting.tasters.all() if each.seat == seat), None)


def offered() -> list[TrialBrew | Lot]:
    """Give what can be poured: the newest trial brews, then the newest lots, without what is recalled."""
    brews = TrialBrew.objects.filter(lot__recalled_at__isnull=True).select_related("lot", "brewer", "version")
    lots = Lot.objects.filter(recalled_at__isnull=True).select_related("coffee")
    return list(
        chain(brews.order_by("-brewed_at", "-pk")[:MOST_OFFERED], lots.order_by("-roasted_on", "-pk")[:MOST_OFFERED])
    )
