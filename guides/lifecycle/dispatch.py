"""Writes down where bags of a lot went."""

from __future__ import annotations

import datetime

from django.db import transaction
from django.db.models import Sum
from django.utils import timezone
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.choices import Outlet, Verb
from guides.models import Dispatch, Lot, User

from . import audit, roles
from .errors import Refusal, refuse_if


def dispatch(
    lot: Lot,
    outlet: Outlet,
    bags: int,
    *,
    by: User,
    place: str = "",
    on: datetime.date | None = None,
    at: datetime.datetime | None = None,
) -> Dispatch:
    """Write down that bags went somewhere, or came back from there.

    Bags of a recalled lot may come back and may not go out.

    Args:
        lot: the lot.
        outlet: what kind of place.
        bags: how many; below 0 for bags that came back, or to put an earlier line right.
        by: who writes it down.
        place: its name, without anybody's own name.
        on: the day; today if not given.
        at: when it is written down; now if not given.

    Raises:
        Refused: not allowed, a recalled lot, or more back than went.
        ValidationError: a field is not as it must be; each message names its field.
    """
    with transaction.atomic():
        # Whoever recalls the lot waits for this, and the other way round.
        lot = Lot.objects.select_for_update().get(pk=lot.pk)
        refuse_if([*roles.refusals(by, ["guides.print_lot"], _("write down where bags went")), *_refusals(lot, bags)])
        at = at or timezone.now()
        row = Dispatch(lot=lot, outlet=outlet, place=place.strip(), bags=bags, recorded_by=by, recorded_at=at)
        row.on = on or timezone.localdate(at)
        row.full_clean()
        refuse_if(_too_many_back(row))
        row.save()
        audit.record(Verb.SENT_BAGS, by=by, at=at, lot=lot, bags=bags, outlet=outlet, place=row.place)
    return row


def _refusals(lot: Lot, bags: int) -> list[Refusal]:
    if not lot.is_recalled or bags < 0:
        return []
    text = _("Lot: {lot} is recalled. Its bags stay here; only bags that came back are written down, below 0.")
    return [Refusal(format_lazy(text, lot=lot.name), "bags")]


def _too_many_back(row: Dispatch) -> list[Refusal]:
    same = Dispatch.objects.filter(lot=row.lot, outlet=row.outlet, place=row.place)
    there = same.aggregate(bags=Sum("bags"))["bags"] or 0
    if there + row.bags >= 0:
        return []
    text = _("Bags: {back} cannot come back from where {there} went. Look at the kind and name of the place.")
    return [Refusal(format_lazy(text, back=-row.bags, there=there), "bags")]
