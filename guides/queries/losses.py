"""Roast losses beside the coffee's own history."""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from django.db.models import F, QuerySet, Value, Window
from django.db.models.functions import Coalesce, NullIf, RowNumber

from guides.calculations.loss_history import HISTORY_MOST, Compared, compare
from guides.choices import Verb
from guides.models import Event, Lot, LotPart, Roast

DAYS_BACK: Final = 30
"""What was roasted longer ago waits for nobody."""


@dataclass(frozen=True)
class Loss:
    """A loss and what it is compared with: ``names`` are the lots or roasts of its history, newest first."""

    name: str
    compared: Compared
    names: tuple[str, ...]


def of_lot(lot: Lot) -> Loss | None:
    """Compare a lot with earlier lots of its coffee at the same roast; nothing for the first of its kind."""
    earlier = Lot.objects.filter(coffee=lot.coffee_id, roasted_on__lte=lot.roasted_on).exclude(pk=lot.pk)
    found = earlier.select_related("coffee").order_by("-roasted_on", "-pk")
    return _of_lot(lot, [each for each in found if _level(each) == _level(lot) and _is_before(each, lot)])


def of_roast(roast: Roast) -> Loss | None:
    """Compare a roast with earlier roasts of its coffee: by the lots it was packed into, else by its green lot."""
    earlier = Roast.objects.filter(roasted_on__lte=roast.roasted_on).exclude(pk=roast.pk)
    coffees = LotPart.objects.filter(roast=roast).values("lot__coffee")
    kin = earlier.filter(parts__lot__coffee__in=coffees).distinct()
    if not coffees.exists():
        kin = earlier.filter(green_lot=roast.green_lot_id)
    newest = list(kin.order_by("-roasted_on", "-pk")[: HISTORY_MOST + 20])
    before = [each for each in newest if (each.roasted_on, each.pk) < (roast.roasted_on, roast.pk)][:HISTORY_MOST]
    if not before:
        return None
    compared = compare(float(roast.loss_percent) / 100, [float(each.loss_percent) / 100 for each in before])
    return Loss(roast.name, compared, tuple(each.name for each in before))


def unexplained(today: datetime.date) -> list[tuple[Lot, Loss]]:
    """Give lots of the last weeks whose loss is off their coffee's history and was not explained, newest first.

    Three queries for narrow rows: those lots, and of each coffee and roast the few before them.
    """
    since = today - datetime.timedelta(days=DAYS_BACK)
    recent = list(_narrow().filter(roasted_on__gte=since).order_by("roasted_on", "pk"))
    histories: dict[tuple[int, str], list[Lot]] = defaultdict(list)
    for lot in _last_before(since, {lot.coffee_id for lot in recent}):
        histories[lot.coffee_id, _level(lot)].append(lot)
    found = []
    for lot in recent:
        history = histories[lot.coffee_id, _level(lot)]
        loss = None if lot.is_recalled else _of_lot(lot, history)
        if loss is not None and loss.compared.is_off:
            found.append((lot, loss))
        history.insert(0, lot)
    explained = _explained(lot for lot, _loss in found)
    waiting = [(lot, loss) for lot, loss in found if (lot.pk, str(lot.loss_percent)) not in explained]
    return sorted(waiting, key=lambda each: (each[0].roasted_on, each[0].pk), reverse=True)


def _narrow() -> QuerySet[Lot]:
    return Lot.objects.select_related("coffee").only(
        "name", "roasted_on", "roast_level", "loss_percent", "recalled_at", "coffee__name", "coffee__roast_level"
    )


def _last_before(day: datetime.date, coffees: Iterable[int]) -> list[Lot]:
    """Give of each of some coffees, at each roast, as many lots from before a day as a history holds, newest first."""
    level = Coalesce(NullIf("roast_level", Value("")), "coffee__roast_level")
    newest = [F("roasted_on").desc(), F("pk").desc()]
    place = Window(RowNumber(), partition_by=[F("coffee"), level], order_by=newest)
    earlier = _narrow().filter(roasted_on__lt=day, coffee__in=list(coffees)).annotate(place=place)
    return list(earlier.filter(place__lte=HISTORY_MOST).order_by("-roasted_on", "-pk"))


def explanation(lot: Lot) -> Event | None:
    """Give why a lot's loss is as it is, if somebody wrote it down and the loss is still the same."""
    events = Event.objects.filter(lot=lot, verb=Verb.EXPLAINED_LOSS).select_related("by")
    return next((event for event in events if event.details.get("loss_percent") == str(lot.loss_percent)), None)


def _explained(lots: Iterable[Lot]) -> set[tuple[int | None, str]]:
    keys = [lot.pk for lot in lots]
    if not keys:
        return set()
    events = Event.objects.filter(lot__in=keys, verb=Verb.EXPLAINED_LOSS)
    return {(event.lot_id, event.details.get("loss_percent", "")) for event in events}


def _of_lot(lot: Lot, newest_first: Sequence[Lot]) -> Loss | None:
    before = newest_first[:HISTORY_MOST]
    if not before:
        return None
    compared = compare(float(lot.loss_percent) / 100, [float(each.loss_percent) / 100 for each in before])
    return Loss(lot.name, compared, tuple(each.name for each in before))


def _is_before(one: Lot, other: Lot) -> bool:
    return (one.roasted_on, one.pk) < (other.roasted_on, other.pk)


def _level(lot: Lot) -> str:
    return lot.effective_roast_level
