"""Counts openings of guides without following anybody: a number in memory, added to the day's row now and then.

A view notes an opening and goes on; it asks the database nothing. A thread of each process adds what has come together
every few seconds, and once more when the process ends. A process that is killed loses what it had not added yet, so
the numbers are shown as "at least".
"""

from __future__ import annotations

import atexit
import datetime
import logging
import os
import threading
from collections import Counter

from django.conf import settings
from django.db import DatabaseError, connection, transaction
from django.utils import timezone

from guides.choices import Opened
from guides.models import Guide, GuideOpens

logger = logging.getLogger(__name__)
_Key = tuple[int, datetime.date, str]


class _Tally:
    """What this process has seen and not added yet."""

    def __init__(self) -> None:
        self.renew()

    def renew(self) -> None:
        """Begin at nothing; a forked process inherits neither numbers nor a thread."""
        self._lock = threading.Lock()
        self._seen: Counter[_Key] = Counter()
        self.adding: threading.Thread | None = None

    def note(self, key: _Key) -> None:
        with self._lock:
            self._seen[key] += 1
            if self.adding is None and settings.OPENS_ADDED_EVERY_S:
                self.adding = threading.Thread(target=_add_for_ever, name="opens", daemon=True)
                self.adding.start()

    def take(self) -> Counter[_Key]:
        with self._lock:
            taken, self._seen = self._seen, Counter()
        return taken

    def put_back(self, taken: Counter[_Key]) -> None:
        with self._lock:
            self._seen += taken


_tally = _Tally()
_stopped = threading.Event()
os.register_at_fork(after_in_child=_tally.renew)


def note(guide_id: int, what: Opened = Opened.PAGE) -> None:
    """Count one opening of a guide today, in the roastery's zone. Costs no query."""
    _tally.note((guide_id, timezone.localdate(), what.value))


def add() -> None:
    """Add what has come together to the day's rows. Where the database is out of reach it waits for the next time."""
    taken = _tally.take()
    if not taken:
        return
    try:
        _add(taken)
    except DatabaseError:
        _tally.put_back(taken)
        logger.warning("Opens could not be added; they are kept and tried again", exc_info=True)


def _add(taken: Counter[_Key]) -> None:
    quote = connection.ops.quote_name
    table = quote(GuideOpens._meta.db_table)
    # One statement finds the row or makes it, whatever other processes do meanwhile: SQLite and PostgreSQL agree on it.
    statement = (
        f"INSERT INTO {table} (guide_id, day, what, times) VALUES (%s, %s, %s, %s) "  # noqa: S608 - our own name
        f"ON CONFLICT (guide_id, day, what) DO UPDATE SET times = {table}.times + excluded.times"
    )
    with transaction.atomic(), connection.cursor() as cursor:
        there = set(
            Guide.objects.filter(pk__in={guide_id for guide_id, _day, _what in taken}).values_list("pk", flat=True)
        )
        # In one order everywhere, so that two processes never wait for each other's rows.
        rows = [(*key, times) for key, times in sorted(taken.items()) if key[0] in there]
        if rows:
            cursor.executemany(statement, rows)


def _add_for_ever() -> None:
    while not _stopped.wait(settings.OPENS_ADDED_EVERY_S):
        _add_and_close()


def _add_and_close() -> None:
    try:
        add()
    finally:
        connection.close()


@atexit.register
def _add_the_rest() -> None:
    _stopped.set()
    if _tally.adding is not None:
        _tally.adding.join(timeout=10)  # it may hold numbers that it has taken
        _add_and_close()
