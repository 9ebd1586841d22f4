"""Hands a finished file over, or keeps why not. The worker does this for whoever ordered the run."""

from __future__ import annotations

from collections.abc import Iterable

from django.db import transaction

from guides.choices import RunState
from guides.models import PackingRun

from . import moves, order
from .transitions import REFUSE, RELEASE


def release(run: PackingRun, file: str) -> bool:
    """Hand a finished file over, for every lot in it; says no where it was cancelled or a lot recalled meanwhile."""
    with transaction.atomic():
        runs = moves.locked_file(run)
        if any(each.state != RunState.MAKING for each in runs):
            return False
        if found := [refusal for each in runs for refusal in order.refusals(each)]:
            _refuse(runs, found)
            return False
        for each in runs:
            each.file = file
            moves.move(each, RELEASE, by=each.ordered_by)
    return True


def refuse(run: PackingRun, reasons: Iterable[object]) -> None:
    """Keep why a run was not released, and those that share its file."""
    with transaction.atomic():
        runs = moves.locked_file(run)
        if all(each.state == RunState.MAKING for each in runs):
            _refuse(runs, reasons)


def _refuse(runs: Iterable[PackingRun], reasons: Iterable[object]) -> None:
    because = "\n".join(dict.fromkeys(map(str, reasons)))
    for each in runs:
        each.refused_because = because
        moves.move(each, REFUSE, by=each.ordered_by)
