"""Writes the audit trail. Every act of this room ends here."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Any

from django.utils import timezone

from guides.choices import Verb
from guides.models import Event, Guide, GuideVersion, Lot, User


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


def record_each(verb: Verb, lots: Mapping[Lot, Mapping[str, Any]], *, by: User) -> None:
    """Write down that somebody did the same to each of several lots, now, each with its details."""
    now = timezone.now()
    Event.objects.bulk_create(Event(verb=verb, by=by, at=now, lot=lot, details=told) for lot, told in lots.items())
