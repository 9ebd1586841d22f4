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
    """Try a run once more, with those that share its file: refused, cancelled, or its work has failed or got lost.

    Raises:
        Refused: not allowed, it stands elsewhere, or as for ``order``.
    """
    with transaction.atomic():
        runs = moves.begin_file(run, MAKE_AGAIN, by=by)
        refuse_if([refusal for each in runs for refusal in order.refusals(each)])
        for each in runs:
            each.refused_because, each.job = "", None
            moves.move(each, MAKE_AGAIN, by=by)
        after_commit(packing_run_ordered, PackingRun, run_id=run.pk)
    run.refresh_from_db()
    return run
