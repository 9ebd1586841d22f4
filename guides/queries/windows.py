"""Lots that enter or leave their window these days."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from django.db.models import Max, Q

from guides.calculations.freshness import DEFAULT_DAYS, BestDays, RoastLevel, best_days
from guides.models import Lot

DAYS_BACK: Final = 3
DAYS_AHEAD: Final = 7


@dataclass(frozen=True)
class Turn:
    """A lot's first good day (``opens``) or its last one."""

    lot: Lot
    day: datetime.date
    opens: bool


def turns(today: datetime.date) -> list[Turn]:
    """Give every first and last good day from three days ago to a week ahead, in order; recalled lots are left out.

    Two queries for narrow rows of lots that are not long past: days come from the calculation room, which a database
    does not know.
    """
    since, until = today - datetime.timedelta(days=DAYS_BACK), today + datetime.timedelta(days=DAYS_AHEAD)
    narrow = Lot.objects.select_related("coffee").only(
        "name", "roasted_on", "roast_level", "rest_days", "best_days", "coffee__name", "coffee__roast_level"
    )
    young = narrow.filter(_may_be_good_on(since), recalled_at__isnull=True, roasted_on__lte=until)
    found = (turn for lot in young for turn in _turns_of(lot) if since <= turn.day <= until)
    return sorted(found, key=lambda turn: (turn.day, turn.lot.name))


def _may_be_good_on(day: datetime.date) -> Q:
    """Whether a lot was roasted so late that its last good day may be this one or a later one."""
    usual = datetime.timedelta(days=max(days.last for days in DEFAULT_DAYS.values()))
    longest = Lot.objects.aggregate(longest=Max("best_days"))["longest"] or 0
    own = datetime.timedelta(days=longest)
    return Q(best_days__isnull=True, roasted_on__gte=day - usual) | Q(best_days__gte=0, roasted_on__gte=day - own)


def days_of(lot: Lot) -> BestDays:
    """Give a lot's good days: its own, or the usual ones of its roast level."""
    own = BestDays(lot.rest_days, lot.best_days) if lot.rest_days is not None and lot.best_days is not None else None
    return best_days(RoastLevel(lot.effective_roast_level), own)


def _turns_of(lot: Lot) -> Iterator[Turn]:
    days = days_of(lot)
    yield Turn(lot, lot.roasted_on + datetime.timedelta(days=days.first), opens=True)
    yield Turn(lot, lot.roasted_on + datetime.timedelta(days=days.last), opens=False)
