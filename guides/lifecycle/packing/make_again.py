"""Tries a run once more."""

from __future__ import annotations

from django.db import transaction

from guides.lifecycle.errors import refuse_if
from guides.lifecycle.telling import after_commit
from guides.models import PackingRun, User
from guides.signals import packing_run_ordered

from . import moves, order
from .transitions import MAKE_AGAIN


def make_again(run: PackingRun, *, by: User) -> PackingRun:
    """Try a run once more: refused or cancelled, or one whose work has failed or got lost.

    Raises:
        Refused: not allowed, it stands elsewhere, or as for ``order``.
    """
    with transaction.atomic():
        run = moves.begin(run, MAKE_AGAIN, by=by)
        refuse_if(order.refusals(run))
        run.refused_because, run.job = "", None
        moves.move(run, MAKE_AGAIN, by=by)
        after_commit(packing_run_ordered, PackingRun, run_id=run.pk)
    return run
