"""Moments of the demo's past, counted back from the day of seeding."""

from __future__ import annotations

import datetime

from django.utils import timezone


def moment(today: datetime.date, days_ago: int, *, hour: int) -> datetime.datetime:
    """Give an hour of a day before ``today`` in the roastery's zone, never later than now."""
    day = today - datetime.timedelta(days=days_ago)
    then = timezone.make_aware(datetime.datetime.combine(day, datetime.time(hour)))
    return min(then, timezone.now())
