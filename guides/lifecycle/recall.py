"""Calls a lot back: every code of it shows the notice at once."""

from __future__ import annotations

import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.choices import Verb
from guides.models import Lot, User
from guides.signals import lot_recalled

from . import audit, reasons, roles
from .errors import Refusal, refuse_if
from .telling import after_commit


def recall(lot: Lot, *, by: User, reason: str, at: datetime.datetime | None = None) -> Lot:
    """Recall a lot for good.

    Args:
        lot: the lot.
        by: who recalls it.
        reason: what customers and shops read; up to 300 characters.
        at: when; now if not given.

    Raises:
        Refused: not allowed, no reason, or recalled already.
    """
    refusals = roles.refusals(by, ["guides.recall_lot"], _("recall lots"))
    with transaction.atomic():
        locked = Lot.objects.select_for_update().get(pk=lot.pk)
        if locked.is_recalled:
            refusals.append(Refusal(_("This lot is recalled already; its notice stays."), field="recalled_at"))
        refuse_if([*refusals, *reasons.refusals(reason, "recall_reason", 300)])
        locked.recalled_at = at or timezone.now()
        locked.recalled_by = by
        locked.recall_reason = reason.strip()
        locked.save(update_fields=["recalled_at", "recalled_by", "recall_reason"])
        audit.record(Verb.RECALLED, by=by, at=at, lot=locked, reason=locked.recall_reason)
        after_commit(lot_recalled, Lot, lot_id=locked.pk)
    return locked
