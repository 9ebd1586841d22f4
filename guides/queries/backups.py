"""Backups that were made, and how old the newest is."""

from __future__ import annotations

import datetime

from django.conf import settings
from django.db.models import QuerySet
from django.utils import timezone

from guides.models import Backup


def newest_first() -> QuerySet[Backup]:
    return Backup.objects.order_by("-made_at", "-pk")


def safe() -> QuerySet[Backup]:
    """Give those that count: copied off the machine, where the site is told to copy them."""
    return newest_first().filter(copied_at__isnull=False) if settings.BACKUP_COPY_TO else newest_first()


def age() -> datetime.timedelta | None:
    """Give how old the newest backup that counts is; ``None`` where there is none."""
    newest = safe().first()
    return None if newest is None else timezone.now() - newest.made_at


def is_due() -> bool:
    """Say whether the site should make one by itself now."""
    if not settings.BACKUP_EVERY_H:
        return False
    newest = newest_first().first()
    return newest is None or timezone.now() - newest.made_at >= datetime.timedelta(hours=settings.BACKUP_EVERY_H)
