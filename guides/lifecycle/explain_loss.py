"""Writes down why a lot lost more or less in the roaster than its coffee does, so that it no longer waits."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from guides.choices import Verb
from guides.models import Lot, User

from . import audit, reasons, roles
from .errors import refuse_if


def explain(lot: Lot, *, by: User, reason: str) -> Lot:
    """Keep the reason for the loss as it is now; a corrected loss is looked at anew.

    Args:
        lot: whose loss.
        by: who looked into it.
        reason: up to 300 characters.

    Raises:
        Refused: not allowed, or no reason.
    """
    refuse_if(
        [
            *roles.refusals(by, ["guides.change_lot"], _("explain roast losses")),
            *reasons.refusals(reason, "reason", 300),
        ]
    )
    audit.record(Verb.EXPLAINED_LOSS, by=by, lot=lot, reason=reason.strip(), loss_percent=str(lot.loss_percent))
    return lot
