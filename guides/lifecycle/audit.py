"""Writes the audit trail. Every act of this room ends here."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Any

from django.db import connection
from django.utils import timezone

from guides.choices import Verb
from guides.models import Event, Guide, GuideVersion, Lot, User
from guides.queries.shop import TOLD


def record(
    verb: Verb,
    *,
    by: User,
    at: datetime.datetime | None = None,
    version: GuideVersion | None = None,
    guide: Guide | None = None,
    lot: Lot | None = None,
    reason: str = "",
    **details: Any,
) -> Event:
    """Write down who did what to which object, when and why."""
    if verb in TOLD:
        _in_line()
    return Event.objects.create(
        verb=verb,
        by=by,
        at=at or timezone.now(),
        guide_id=version.guide_id if version else guide.pk if guide else None,
        version_id=version.pk if version else None,
        lot=lot,
        reason=reason,
        details=details,
    )


def _in_line() -> None:
    """Let what others are told of be written down one after the other, until each is kept or taken back.

    Whoever reads the list of changes goes on behind the last number seen; a lower one that comes true later would be
    missed. SQLite has one writer anyway. It is the last lock that an act takes, so nobody waits in a circle.
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(hashtext('guides.changes'))")


def record_each(verb: Verb, lots: Mapping[Lot, Mapping[str, Any]], *, by: User) -> None:
    """Write down that somebody did the same to each of several lots, now, each with its details."""
    now = timezone.now()
    Event.objects.bulk_create(Event(verb=verb, by=by, at=now, lot=lot, details=told) for lot, told in lots.items())
