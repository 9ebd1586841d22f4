"""Enters a new lot."""

from __future__ import annotations

from collections.abc import Sequence

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from guides.choices import Verb
from guides.models import Lot, User

from . import address, audit, roles
from .errors import refuse_if


def register(lot: Lot, *, by: User) -> Lot:
    """Keep a new lot, with a code to print and a line in the audit trail.

    Raises:
        Refused: the person may not enter lots.
        ValidationError: a field is not as it must be; each message names its field.
    """
    refuse_if(roles.refusals(by, ["guides.add_lot"], _("enter lots")))
    lot.full_clean()
    with transaction.atomic():
        lot.save(force_insert=True)
        make_printable([lot], by=by)
    return lot


def make_printable(lots: Sequence[Lot], *, by: User) -> None:
    """Give lots that have just been stored a code to print and a line in the audit trail each."""
    address.issue_each(lots)
    audit.record_each(Verb.CREATED, {lot: {} for lot in lots}, by=by)
