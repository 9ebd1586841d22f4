"""Backups that were made: each is a file outside the database, and a row that says when and whether it was proven."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from .base import Passing


class Backup(Passing):
    """``fault`` is what a restore drill found; ``proven_at`` when one found nothing."""

    file = models.CharField(_("file"), max_length=120, unique=True)
    made_at = models.DateTimeField(_("made at"), db_index=True)
    size_bytes = models.PositiveBigIntegerField(_("bytes"))
    copied_at = models.DateTimeField(_("copied at"), null=True, blank=True)
    proven_at = models.DateTimeField(_("proven at"), null=True, blank=True)
    fault = models.TextField(_("fault"), blank=True)

    class Meta:
        verbose_name = _("backup")
        verbose_name_plural = _("backups")
        ordering = ["-made_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(fault="") | Q(proven_at__isnull=True),
                name="backup_proven_or_faulty",
                violation_error_message=_("Fault: a backup with a fault is not proven."),
            )
        ]

    def __str__(self) -> str:
        return self.file
