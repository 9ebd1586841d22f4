"""Which workers live: each says so every few seconds, in a row of its own."""

from __future__ import annotations

import datetime
import os
import socket
import time
from typing import Final

from django.utils import timezone

from guides.models import Worker
from guides.queries.condition import SILENT_AFTER

_FORGOTTEN_AFTER: Final = datetime.timedelta(days=1)
_EVERY_S: Final = 5.0

_last_said = float("-inf")


def name() -> str:
    """Give this process's name among workers."""
    return f"{socket.gethostname()[:100]}:{os.getpid()}"


def say_alive() -> None:
    """Keep that this worker lives, unless it said so a moment ago."""
    global _last_said
    if time.monotonic() - _last_said < _EVERY_S:
        return
    _last_said, now = time.monotonic(), timezone.now()
    if not Worker.objects.filter(pk=name()).update(seen_at=now):
        Worker.objects.create(name=name(), started_at=now, seen_at=now)


def say_stopped() -> None:
    """Take this worker off the list."""
    global _last_said
    _last_said = float("-inf")
    Worker.objects.filter(pk=name()).delete()


def lives_here() -> bool:
    """Say whether a worker of this machine has given a sign of life of late."""
    here = Worker.objects.filter(name__startswith=f"{socket.gethostname()[:100]}:")
    return here.filter(seen_at__gte=timezone.now() - SILENT_AFTER).exists()


def sweep() -> None:
    """Forget workers that were killed long ago."""
    Worker.objects.filter(seen_at__lt=timezone.now() - _FORGOTTEN_AFTER).delete()
