"""Starts what is due. The time is a column, looked at by the clock now and then: nothing to lose when a worker dies."""

from __future__ import annotations

import datetime

from django.utils import timezone

from guides.choices import JobState
from guides.lifecycle import schedule
from guides.models import JobRun
from guides.queries import backups

from . import tasks

_REST = datetime.timedelta(hours=1)


def start_due() -> int:
    """Ask for a backup when it is time, and for the publishing of every version whose time has come; say how many.

    Asked once for each time that was set, however many workers look.
    """
    started = start_backup() is not None if backups.is_due() else 0
    for version in schedule.due():
        if version.publish_at is not None:
            run = tasks.start_once("publish_when_due", version_id=version.pk, set_for=version.publish_at.isoformat())
            started += run is not None
    return started


def start_backup() -> JobRun | None:
    """Ask for a backup; ``None`` where one is in the making, or was given up within the hour."""
    now = timezone.now()
    asked = JobRun.objects.filter(kind="backup")
    if asked.filter(state__in=(JobState.WAITING, JobState.RUNNING)).exists():
        return None
    if asked.filter(state=JobState.FAILED, finished_at__gt=now - _REST).exists():
        return None
    # Minutes, so that workers who look at the same moment ask once.
    return tasks.start_once("backup", wanted_at=now.replace(second=0, microsecond=0).isoformat())
