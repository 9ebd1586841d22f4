"""A list that somebody sent to the desk and has not confirmed yet."""

from __future__ import annotations

import datetime
import secrets
from typing import Final

from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from .base import Passing

KEPT_FOR: Final = datetime.timedelta(hours=24)


def new_token() -> str:
    return secrets.token_hex(16)


class HeldList(Passing):
    """The file as it came, so that nobody chooses it twice; only who sent it sees it."""

    token = models.CharField(max_length=32, primary_key=True, default=new_token)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="+")
    kind = models.CharField(max_length=20)
    name = models.CharField(max_length=120)
    content = models.BinaryField()
    dates = models.CharField(max_length=10)
    decimals = models.CharField(max_length=10)
    sent_at = models.DateTimeField(default=timezone.now, db_index=True)

    class Meta:
        verbose_name = _("list before it is kept")
        verbose_name_plural = _("lists before they are kept")

    def __str__(self) -> str:
        return self.name
