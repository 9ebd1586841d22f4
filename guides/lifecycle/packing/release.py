"""Hands a finished file over, or keeps why not. The worker does this for whoever ordered the run."""

from __future__ import annotations

from collections.abc import Iterable

from django.db import transaction

from guides.choices import RunState
from guides.models import PackingRun

from . import moves, order
from .transitions import RELEASE


def release(run: PackingRun, file: str) -> bool:
    """Hand a finished file over; says no where the run was cancelled or the lot recalled in the meantime."""
    with transaction.atomic():
        run = moves.locked(run)
        if run.state != RunState.MAKING:
            return False
        if found := order.refusals(run):
            moves.refuse_run(run, found)
            return False
        run.file = file
        moves.move(run, RELEASE, by=run.ordered_by)
    return True


def refuse(run: PackingRun, reasons: Iterable[object]) -> None:
    """Keep why a run was not released."""
    with transaction.atomic():
        run = moves.locked(run)
        if run.state == RunState.MAKING:
            moves.refuse_run(run, reasons)
