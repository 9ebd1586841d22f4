"""Workers that were seen of late."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _

from .base import Passing


class Worker(Passing):
    """``name`` is machine and process; a worker says every few seconds that it lives."""

    name = models.CharField(_("name"), max_length=120, primary_key=True)
    started_at = models.DateTimeField(_("started at"))
    seen_at = models.DateTimeField(_("seen at"), db_index=True)

    class Meta:
        verbose_name = _("worker")
        verbose_name_plural = _("workers")

    def __str__(self) -> str:
        return self.name
