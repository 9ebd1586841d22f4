"""Starts what is due. The time is a column, looked at by the clock now and then: nothing to lose when a worker dies."""

from __future__ import annotations

from guides.lifecycle import schedule

from . import tasks


def start_due() -> int:
    """Ask for the publishing of every version whose time has come; say how many.

    Asked once for each time that was set, however many workers look.
    """
    started = 0
    for version in schedule.due():
        if version.publish_at is not None:
            run = tasks.start_once("publish_when_due", version_id=version.pk, set_for=version.publish_at.isoformat())
            started += run is not None
    return started
