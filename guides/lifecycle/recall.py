"""Calls coffee back for good: one packed lot, or every lot that holds some of a green lot or a roast."""

from __future__ import annotations

import datetime
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.choices import Verb
from guides.models import GreenLot, Lot, Roast, User
from guides.models.recallable import Recallable
from guides.queries import trace
from guides.signals import lot_recalled

from . import audit, reasons, roles
from .errors import Refusal, refuse_if
from .telling import after_commit

LONGEST_REASON = 300


def recall(lot: Lot, *, by: User, reason: str, at: datetime.datetime | None = None) -> Lot:
    """Recall a lot: every code of it shows the notice at once.

    Args:
        lot: the lot.
        by: who recalls it.
        reason: what customers and shops read; up to 300 characters.
        at: when; now if not given.

    Raises:
        Refused: not allowed, no reason, or recalled already.
    """
    with transaction.atomic():
        locked = Lot.objects.select_for_update().get(pk=lot.pk)
        _refuse(locked, by, reason)
        _call_back(locked, by, reason, at)
        _tell(locked, by, at)
    return locked


def recall_all(
    origin: GreenLot | Roast, *, by: User, reason: str, at: datetime.datetime | None = None
) -> GreenLot | Roast:
    """Recall a green lot or a roast, and with it every packed lot that holds some of it.

    A lot that was recalled before keeps its own notice. From now on nothing is filled from it (``LotPart.clean``).

    Args:
        origin: the green lot or roast.
        by: who recalls it.
        reason: what customers and shops read; up to 300 characters.
        at: when; now if not given.

    Raises:
        Refused: not allowed, no reason, or recalled already.
    """
    with transaction.atomic():
        locked = type(origin).objects.select_for_update().get(pk=origin.pk)
        _refuse(locked, by, reason)
        _call_back(locked, by, reason, at)
        holding = trace.lots_holding(locked)
        hit = list(Lot.objects.select_for_update().filter(pk__in=holding.values("pk"), recalled_at=None).order_by("pk"))
        for lot in hit:
            _call_back(lot, by, reason, at)
            _tell(lot, by, at, **{type(origin).__name__.lower(): locked.pk})
        audit.record(
            Verb.RECALLED_ALL,
            by=by,
            at=at,
            reason=locked.recall_reason,
            what=type(origin).__name__.lower(),
            pk=locked.pk,
            name=locked.name,
            lots=[lot.name for lot in hit],
        )
    return locked


def _refuse(row: Recallable, by: User, reason: str) -> None:
    refusals = roles.refusals(by, ["guides.recall_lot"], _("recall lots"))
    if row.is_recalled:
        refusals.append(Refusal(_("This lot is recalled already; its notice stays."), field="recalled_at"))
    refuse_if([*refusals, *reasons.refusals(reason, "recall_reason", LONGEST_REASON)])


def _call_back(row: Recallable, by: User, reason: str, at: datetime.datetime | None) -> None:
    row.recalled_at, row.recalled_by, row.recall_reason = at or timezone.now(), by, reason.strip()
    row.save(update_fields=["recalled_at", "recalled_by", "recall_reason"])


def _tell(lot: Lot, by: User, at: datetime.datetime | None, **origin: Any) -> None:
    audit.record(Verb.RECALLED, by=by, at=at, lot=lot, reason=lot.recall_reason, **origin)
    after_commit(lot_recalled, Lot, lot_id=lot.pk)
