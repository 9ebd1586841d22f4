"""Starts the making of packing runs, each once, whatever was killed between the order and the start."""

from __future__ import annotations

from django.db import transaction
from django.utils import timezone

from guides.choices import RunState
from guides.models import PackingRun
from guides.queries import packing_runs

from . import runs, tasks


def start(run_id: int) -> bool:
    """Ask for a run to be made, with those that share its file; says no where that has been asked already, or it is
    not to be made any more.
    """
    with transaction.atomic():
        run = PackingRun.objects.select_for_update().filter(pk=run_id, state=RunState.MAKING, job=None).first()
        if run is None:
            return False
        job = tasks.start("packing_run", run_id=run_id)
        packing_runs.with_file_of(run).update(job=job)
    return True


def pick_up() -> int:
    """Start runs that were ordered a while ago and never started; say how many."""
    lost = PackingRun.objects.filter(state=RunState.MAKING, job=None, ordered_at__lt=timezone.now() - runs.lease())
    return sum(start(run_id) for run_id in lost.values_list("pk", flat=True))
