"""Which coffees were brewed in which brewers, and when last."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from typing import Any, Final

from django.db.models import Count, F, Max, QuerySet

from guides.models import TrialBrew

LATEST: Final = 200
"""Brews of which the coffees and brewers are given where not all are asked for: weeks of work at a busy bench."""
_WHOSE: Final = {
    "coffee": F("lot__coffee"), "coffee_name": F("lot__coffee__name"),
    "brewer_key": F("brewer"), "brewer_name": F("brewer__name"),
}  # fmt: skip


@dataclass(frozen=True)
class Pair:
    """A coffee and a brewer by their keys and names, when it was last brewed so, and how often, if that was counted."""

    coffee: int
    coffee_name: str
    brewer_key: int
    brewer_name: str
    last: datetime.datetime
    brews: int | None = None


def latest() -> tuple[list[Pair], bool]:
    """Give the coffees and brewers of the latest brews, latest first, and whether there are earlier brews."""
    rows = list(_of_brews().order_by("-brewed_at", "-pk").values(*_WHOSE, last=F("brewed_at"))[: LATEST + 1])
    pairs: dict[tuple[int, int], Pair] = {}
    for row in rows[:LATEST]:
        pairs.setdefault((row["coffee"], row["brewer_key"]), Pair(**row))
    return list(pairs.values()), len(rows) > LATEST


def pairs() -> list[Pair]:
    """Give every coffee and brewer with a trial brew, latest first, counted. This reads all brews."""
    counted = _of_brews().order_by().values(*_WHOSE).annotate(brews=Count("pk"), last=Max("brewed_at"))
    return [Pair(**row) for row in counted.order_by("-last")]


def _of_brews() -> QuerySet[Any]:
    return TrialBrew.objects.annotate(**_WHOSE)
