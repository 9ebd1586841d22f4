"""Gives a lot a code to print. A code is never taken back, changed or used twice."""

from __future__ import annotations

from collections.abc import Sequence

from django.db import IntegrityError, transaction

from guides.codes import short_code
from guides.models import Address, Lot

_TRIES = 8  # With 35 random bits a second try is already rare.


def issue(lot: Lot) -> Address:
    """Give a lot a fresh address code.

    Raises:
        RuntimeError: every one of several random codes was taken, which does not happen by chance.
    """
    return issue_each([lot])[0]


def issue_each(lots: Sequence[Lot]) -> list[Address]:
    """Give each of several lots a fresh address code.

    Raises:
        RuntimeError: as ``issue``.
    """
    for _attempt in range(_TRIES):
        try:
            with transaction.atomic():
                return Address.objects.bulk_create(Address(code=short_code.new(), lot=lot) for lot in lots)
        except IntegrityError:
            continue
    raise RuntimeError(f"No free address code found in {_TRIES} tries; the random source repeats itself.")
