"""Gives a lot a code to print. A code is never taken back, changed or used twice."""

from __future__ import annotations

from collections.abc import Sequence

from django.utils import timezone

from guides.codes import short_code
from guides.models import Address, Lot
from guides.queries.code_records import Kind, recorded

from . import code_records

_TRIES = 8  # With 35 random bits a second try is already rare.


def issue(lot: Lot) -> Address:
    """Give a lot a fresh address code.

    Raises:
        RuntimeError: every one of several random codes was taken, which does not happen by chance.
    """
    return issue_each([lot])[0]


def issue_each(lots: Sequence[Lot]) -> list[Address]:
    """Give each of several lots a fresh address code, written down outside the database before it is stored.

    Raises:
        RuntimeError: as ``issue``.
        Refused: the codes cannot be written down.
    """
    for _attempt in range(_TRIES):
        codes = {short_code.new() for _lot in lots}
        if len(codes) < len(lots) or codes & _taken(codes):
            continue
        now = timezone.now()
        rows = [Address(code=code, lot=lot, created_at=now) for code, lot in zip(codes, lots, strict=True)]
        code_records.keep(rows)
        return Address.objects.bulk_create(rows)
    raise RuntimeError(f"No free address code found in {_TRIES} tries; the random source repeats itself.")


def _taken(codes: set[str]) -> set[str]:
    """Codes of this database, and those that it has forgotten since: they are on bags."""
    ours = Address.objects.filter(code__in=codes).values_list("code", flat=True)
    return set(ours) | recorded(Kind.LOT)
