"""Lets go of what other libraries would keep for ever: old sessions, log-ins with their addresses, finished tasks."""

from __future__ import annotations

import datetime
from typing import Final

from axes.models import AccessAttempt, AccessFailureLog, AccessLog
from django.contrib.sessions.models import Session
from django.utils import timezone
from django_tasks_db.models import DBTaskResult

KEPT_FOR: Final = datetime.timedelta(days=30)
"""Long enough to look into a break-in, no longer: the addresses in it are people's."""


def tidy() -> None:
    """Remove what is over and done with. Runs keep their own rows; only their places in the queue go."""
    now = timezone.now()
    Session.objects.filter(expire_date__lt=now).delete()
    for log in (AccessAttempt, AccessFailureLog, AccessLog):
        log.objects.filter(attempt_time__lt=now - KEPT_FOR).delete()
    DBTaskResult.objects.filter(finished_at__lt=now - KEPT_FOR).delete()
