"""What the queue calls: a run's id comes in, the work is done elsewhere, the outcome goes into the run's row."""

from __future__ import annotations

import datetime
import json
import logging
import uuid
from typing import Any, Final

from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext_lazy as _
from django_tasks import task

from guides.choices import JobState
from guides.lifecycle.errors import Refusal, Refused
from guides.lifecycle.schedule import NotYet
from guides.models import JobRun

from . import runs
from .outgoing import NotSent
from .work import KINDS, CannotBeDone

logger = logging.getLogger(__name__)

_ONCE: Final = uuid.UUID("5e0b7c1d-3a52-4f0e-9f6b-1d2a7c94e8a3")  # a name space of our own, drawn once


def start(kind: str, **arguments: Any) -> JobRun:
    """Ask for work. The run and its place in the queue are kept together, or not at all.

    Args:
        kind: a key of ``work.KINDS``.
        arguments: ids and plain values for it.

    Raises:
        KeyError: there is no such work.
    """
    return _start(uuid.uuid4(), kind, arguments)


def start_once(kind: str, **arguments: Any) -> JobRun | None:
    """Ask for work that is never asked for twice with the same arguments; ``None`` where it has been.

    Raises:
        KeyError: there is no such work.
    """
    key = uuid.uuid5(_ONCE, json.dumps([kind, arguments], sort_keys=True))
    if JobRun.objects.filter(pk=key).exists():
        return None
    try:
        return _start(key, kind, arguments)
    except IntegrityError:  # another worker was quicker
        return None


def _start(key: uuid.UUID, kind: str, arguments: dict[str, Any]) -> JobRun:
    if kind not in KINDS:
        raise KeyError(kind)
    with transaction.atomic():
        run = JobRun.objects.create(pk=key, kind=kind, arguments=arguments)
        queue(run.pk)
    return run


def again(run: JobRun) -> JobRun:
    """Let a run that was given up start afresh.

    Raises:
        Refused: it has not failed; somebody else may have started it again.
    """
    with transaction.atomic():
        failed = JobRun.objects.filter(pk=run.pk, state=JobState.FAILED)
        if not failed.update(state=JobState.WAITING, attempts=0, finished_at=None):
            raise Refused(Refusal(_("This work has not failed, so there is nothing to start again.")))
        queue(run.pk)
    run.refresh_from_db()
    return run


def queue(run_id: uuid.UUID, wait: datetime.timedelta = datetime.timedelta()) -> None:
    """Put a waiting run into the queue, now or after a while."""
    later = perform.using(run_after=timezone.now() + wait) if wait else perform
    later.enqueue(run_id=str(run_id))


@task()
def perform(run_id: str) -> None:
    """Do a run, if it is still waiting. Called twice, it is done once."""
    held = runs.claim(uuid.UUID(run_id))
    if held is None:
        return
    try:
        _attempt(held)
    except runs.LeaseLost:
        # Whoever holds it now goes on from what is kept already.
        logger.warning("Run %s was taken over while this worker was busy or silent", run_id)


def _attempt(held: runs.Held) -> None:
    try:
        result = KINDS[held.kind](held)
    except runs.LeaseLost:
        raise
    except runs.Cancelled:
        held.cancel()
    except runs.Stopping:
        with transaction.atomic():
            held.give_back()
            queue(held.run_id)
    except NotYet as early:
        with transaction.atomic():
            held.give_back()
            queue(held.run_id, early.wait)
    except CannotBeDone as error:
        held.fail(str(error))
    except NotSent as error:
        # What other machines do is no fault of ours to be traced.
        _try_again(held, str(error))
    except Exception as error:
        logger.exception("Run %s (%s) failed on attempt %s", held.run_id, held.kind, held.attempts)
        _try_again(held, f"{type(error).__name__}: {error}")
    else:
        held.finish(result)


def _try_again(held: runs.Held, error: str) -> None:
    if held.attempts >= runs.most_attempts(held.kind):
        held.fail(error)
        return
    with transaction.atomic():
        held.put_back(error)
        queue(held.run_id, runs.wait_before(held.attempts))
