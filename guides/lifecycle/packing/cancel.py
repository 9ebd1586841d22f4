"""Stops a run while it is being made."""

from __future__ import annotations

from django.db import transaction

from guides.models import JobRun, PackingRun, User

from . import moves
from .transitions import CANCEL


def cancel(run: PackingRun, *, by: User) -> PackingRun:
    """Stop a run while it is being made.

    Raises:
        Refused: not allowed, or it is made already.
    """
    with transaction.atomic():
        run = moves.begin(run, CANCEL, by=by)
        moves.move(run, CANCEL, by=by)
        if run.job_id:
            JobRun.objects.filter(pk=run.job_id).update(cancel_wanted=True)
    return run
