"""Who holds a piece of background work, and how far it is. Every change of a run's row is made here or in ``sweeper``.

The queue only starts work and forgets what a killed worker was doing. A run is held by a lease: whoever has the token
and reports in time may go on; anybody else finds that the row has moved on. All moves are conditional updates, so that
two workers can never both hold a run, and a worker that was taken for dead cannot overwrite its successor.
"""

from __future__ import annotations

import datetime
import threading
import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.db.models import F, QuerySet
from django.utils import timezone

from guides.choices import JobState
from guides.models import JobRun

from . import workers

MAX_ATTEMPTS = 5
# Other machines are away for longer than ours: in eight attempts more than seven hours pass.
_MORE_ATTEMPTS = {"send_webhook": 8}
_FIRST_WAIT_S = 5.0
_FREE = {"lease_until": None, "lease_token": None}

# Set when the worker is told to stop: work in hand is given back at its next report.
stopping = threading.Event()


class Cancelled(Exception):
    """Somebody asked for the work to stop."""


class LeaseLost(Exception):
    """The lease ran out and the run was given to somebody else, or it is finished."""


class Stopping(Exception):
    """The worker was told to stop."""


@dataclass(frozen=True)
class Held:
    """A run in hand. ``token`` is proof of the lease; ``attempts`` counts this one."""

    run_id: uuid.UUID
    token: uuid.UUID
    kind: str
    arguments: Mapping[str, Any]
    attempts: int

    def report(self, done: int, total: int) -> None:
        """Give a sign of life and say how far the work is; renews the lease.

        Raises:
            LeaseLost: the run is no longer ours; stop and write nothing more.
            Cancelled: somebody asked for it to stop.
            Stopping: this worker was told to stop.
        """
        self._change(
            done=min(done, total), total=total, heartbeat_at=timezone.now(), lease_until=timezone.now() + lease()
        )
        workers.say_alive()
        if self._row().filter(cancel_wanted=True).exists():
            raise Cancelled
        if stopping.is_set():
            raise Stopping

    def finish(self, result: Any) -> None:
        """Close the run as done."""
        self._change(state=JobState.DONE, result=result, error="", finished_at=timezone.now(), **_FREE)

    def fail(self, error: str) -> None:
        """Close the run as failed; trying again would not help."""
        self._change(state=JobState.FAILED, error=error, finished_at=timezone.now(), **_FREE)

    def cancel(self) -> None:
        """Close the run as cancelled."""
        self._change(state=JobState.CANCELLED, finished_at=timezone.now(), **_FREE)

    def put_back(self, error: str) -> None:
        """Let the run wait for another attempt, with what went wrong."""
        self._change(state=JobState.WAITING, error=error, **_FREE)

    def give_back(self) -> None:
        """Let the run wait for another worker; this one was stopped, and the attempt does not count."""
        self._change(state=JobState.WAITING, attempts=F("attempts") - 1, **_FREE)

    def _row(self) -> QuerySet[JobRun]:
        return JobRun.objects.filter(pk=self.run_id, state=JobState.RUNNING, lease_token=self.token)

    def _change(self, **values: Any) -> None:
        if not self._row().update(**values):
            raise LeaseLost


def most_attempts(kind: str) -> int:
    """Give how often work of a kind is tried before it is given up."""
    return _MORE_ATTEMPTS.get(kind, MAX_ATTEMPTS)


def lease() -> datetime.timedelta:
    """Give how long a worker may be silent: far longer than a single paper takes."""
    return datetime.timedelta(seconds=getattr(settings, "JOB_LEASE_S", 60))


def wait_before(attempt: int) -> datetime.timedelta:
    """Give how long to wait after an attempt that went wrong: 5 s, 20 s, 80 s, 320 s and so on."""
    return datetime.timedelta(seconds=_FIRST_WAIT_S * 4 ** (attempt - 1))


def claim(run_id: uuid.UUID) -> Held | None:
    """Take hold of a waiting run; ``None`` when it is held, finished or cancelled already."""
    token, now = uuid.uuid4(), timezone.now()
    taken = JobRun.objects.filter(pk=run_id, state=JobState.WAITING).update(
        state=JobState.RUNNING,
        lease_token=token,
        lease_until=now + lease(),
        heartbeat_at=now,
        attempts=F("attempts") + 1,
    )
    if not taken:
        return None
    run = JobRun.objects.get(pk=run_id)
    return Held(run_id=run_id, token=token, kind=run.kind, arguments=run.arguments, attempts=run.attempts)


def cancel(run: JobRun) -> bool:
    """Stop a run: at once while it waits, at its next report while it runs. Says whether there was anything to stop."""
    waiting = JobRun.objects.filter(pk=run.pk, state=JobState.WAITING)
    if waiting.update(state=JobState.CANCELLED, cancel_wanted=True, finished_at=timezone.now()):
        return True
    return bool(JobRun.objects.filter(pk=run.pk, state=JobState.RUNNING).update(cancel_wanted=True))
