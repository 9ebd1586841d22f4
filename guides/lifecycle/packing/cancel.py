"""Stops a run while it is being made."""

from __future__ import annotations

from django.db import transaction

from guides.models import JobRun, PackingRun, User

from . import moves
from .transitions import CANCEL


def cancel(run: PackingRun, *, by: User) -> PackingRun:
    """Stop a run while it is being made, with those that share its file.

    Raises:
        Refused: not allowed, or it is made already.
    """
    with transaction.atomic():
        for each in moves.begin_file(run, CANCEL, by=by):
            moves.move(each, CANCEL, by=by)
            if each.job_id:
                JobRun.objects.filter(pk=each.job_id).update(cancel_wanted=True)
    run.refresh_from_db()
    return run
