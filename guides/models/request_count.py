"""How often somebody has sent something of late: one row per kind, sender and stretch of time."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _

from .base import Passing


class RequestCount(Passing):
    """``client`` says only that two posts of one day came from the same place, never from which."""

    act = models.CharField(max_length=40)
    client = models.CharField(max_length=32)
    began_at = models.DateTimeField()
    ends_at = models.DateTimeField(db_index=True)
    times = models.PositiveIntegerField(default=0)

    class Meta:
        verbose_name = _("count of posts")
        verbose_name_plural = _("counts of posts")
        constraints = [
            models.UniqueConstraint(
                fields=["act", "client", "began_at", "ends_at"],
                name="request_count_once",
                violation_error_message=_("Began at: this stretch is counted already."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.act}: {self.times}"
