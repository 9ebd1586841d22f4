"""How the site is: what its keeper should know of the queue, the disk, the database, the backups, and the clock."""

from __future__ import annotations

import datetime
import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from django.conf import settings
from django.db import connection
from django.utils import timezone

from guides.choices import JobState
from guides.models import Backup, Event, JobRun, Lot, Roastery, Worker, stamp_triggers, triggers

from . import backups, code_records
from .code_records import Agreement

SILENT_AFTER: Final = datetime.timedelta(seconds=90)
"""A worker that has said nothing for so long is taken for dead."""
_RECENT: Final = datetime.timedelta(days=7)


@dataclass(frozen=True)
class Condition:
    """Facts alone, of one moment. ``clock_off`` is how far this machine's clock is from PostgreSQL's;
    ``ahead_of_us`` how far the newest event lies in the future; ``codes`` is ``None`` where their records cannot be
    reached."""

    database: str
    database_bytes: int
    disk_free_bytes: int
    disk_bytes: int
    workers: int
    running: int
    waiting: int
    longest_wait: datetime.timedelta
    failed: int
    backup: Backup | None
    backup_age: datetime.timedelta | None
    has_work: bool
    clock_off: datetime.timedelta
    ahead_of_us: datetime.timedelta
    missing_guards: int
    missing_marks: int
    codes: Agreement | None


def now() -> Condition:
    """Look at everything."""
    disk = shutil.disk_usage(settings.DATA_DIR)
    waits = [timezone.now() - made for made in _waiting()]
    return Condition(
        database=_database(),
        database_bytes=_database_bytes(),
        disk_free_bytes=disk.free,
        disk_bytes=disk.total,
        workers=Worker.objects.filter(seen_at__gte=timezone.now() - SILENT_AFTER).count(),
        running=JobRun.objects.filter(state=JobState.RUNNING).count(),
        waiting=len(waits),
        longest_wait=max(waits, default=datetime.timedelta()),
        failed=JobRun.objects.filter(state=JobState.FAILED, finished_at__gte=timezone.now() - _RECENT).count(),
        backup=backups.newest_first().first(),
        backup_age=backups.age(),
        has_work=_has_work(),
        clock_off=_clock_off(),
        ahead_of_us=_ahead_of_us(),
        missing_guards=len(triggers.missing(connection)),
        missing_marks=len(stamp_triggers.missing(connection)),
        codes=code_records.agreement(),
    )


def _has_work() -> bool:
    """Say whether there is something to lose: not before the first lot, and not in the demo."""
    return Lot.objects.exists() and not Roastery.objects.filter(is_demo=True).exists()


def _waiting() -> list[datetime.datetime]:
    """When each piece of work was asked for that has never been tried; others wait for their next attempt."""
    rows = JobRun.objects.filter(state=JobState.WAITING, attempts=0)
    return list(rows.values_list("created_at", flat=True))


def _database() -> str:
    connection.ensure_connection()
    if connection.vendor == "postgresql":
        return "PostgreSQL " + ".".join(map(str, connection.get_database_version()))
    return "SQLite " + ".".join(map(str, connection.get_database_version()))


def _database_bytes() -> int:
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_database_size(current_database())")
            return int(cursor.fetchone()[0])
    file = Path(str(connection.settings_dict["NAME"]))
    return file.stat().st_size if file.exists() else 0


def _clock_off() -> datetime.timedelta:
    if connection.vendor != "postgresql":
        return datetime.timedelta()
    with connection.cursor() as cursor:
        before = timezone.now()
        cursor.execute("SELECT clock_timestamp()")
        theirs, after = cursor.fetchone()[0], timezone.now()
    # What the answer took to come is no difference of clocks.
    return max(before - theirs, theirs - after, datetime.timedelta())


def _ahead_of_us() -> datetime.timedelta:
    newest = Event.objects.order_by("-at").values_list("at", flat=True).first()
    return max(newest - timezone.now(), datetime.timedelta()) if newest else datetime.timedelta()
