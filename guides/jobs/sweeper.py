"""Finds work whose worker has died, and lets it go on. Run at the start of every worker and now and then after."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone
from django_tasks.base import TaskResultStatus
from django_tasks_db.models import DBTaskResult

from guides.choices import JobState
from guides.lifecycle import form_token, home_brew, rate_limit
from guides.models import JobRun

from . import orders, receivers, recording, runs, tasks, tidying, workers


@dataclass(frozen=True)
class Swept:
    """How many runs were put back into the queue, and how many were given up."""

    queued: int = 0
    closed: int = 0


def sweep() -> Swept:
    """Put runs with an expired lease back into the queue, and waiting ones that are in no queue.

    A run whose workers have died ``runs.most_attempts`` times is given up: it may be what kills them. What guards
    public forms for some hours goes at the same time, and what customers sent once it has been kept as long as they
    were told; webhooks are told what nobody got round to telling them, packing runs started that never were,
    and codes recorded that have no record yet.
    """
    receivers.tell_webhooks()
    rate_limit.sweep()
    form_token.sweep()
    home_brew.sweep()
    workers.sweep()
    orders.pick_up()
    tidying.tidy()
    recording.record_codes()
    expired = list(JobRun.objects.filter(state=JobState.RUNNING, lease_until__lt=timezone.now()))
    queued = [_recover(run) for run in expired]
    stranded = [run for run in JobRun.objects.filter(state=JobState.WAITING) if not _is_queued(run)]
    for run in stranded:
        _close_dead_tasks(run)
        tasks.queue(run.pk)
    return Swept(queued=queued.count(True) + len(stranded), closed=queued.count(False))


def _recover(run: JobRun) -> bool | None:
    """Free a run that nobody holds any more.

    Returns:
        ``True`` when it goes on, ``False`` when it is closed, ``None`` when its holder has reported after all.
    """
    goes_on = False
    with transaction.atomic():
        if run.cancel_wanted:
            freed = _free(run, state=JobState.CANCELLED, finished_at=timezone.now())
        elif run.attempts >= runs.most_attempts(run.kind):
            error = f"Its worker stopped {run.attempts} times without finishing it."
            freed = _free(run, state=JobState.FAILED, finished_at=timezone.now(), error=error)
        else:
            freed = goes_on = _free(run, state=JobState.WAITING)
        if freed:
            _close_dead_tasks(run)
        if goes_on:
            tasks.queue(run.pk)
    return goes_on if freed else None


def _free(run: JobRun, **values: Any) -> bool:
    """Take the lease away, if it is still the one that had run out."""
    expired = JobRun.objects.filter(
        pk=run.pk, state=JobState.RUNNING, lease_token=run.lease_token, lease_until__lt=timezone.now()
    )
    return bool(expired.update(lease_until=None, lease_token=None, **values))


def _is_queued(run: JobRun) -> bool:
    return _tasks_of(run).filter(status=TaskResultStatus.READY).exists()


def _close_dead_tasks(run: JobRun) -> None:
    """The queue leaves the task of a killed worker running for ever."""
    _tasks_of(run).filter(status=TaskResultStatus.RUNNING).update(
        status=TaskResultStatus.FAILED, finished_at=timezone.now()
    )


def _tasks_of(run: JobRun) -> QuerySet[DBTaskResult]:
    return DBTaskResult.objects.filter(args_kwargs__kwargs__run_id=str(run.pk))
