"""What can be called back: who did it, when and why stand together."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from .base import Record


class Recallable(Record):
    recalled_at = models.DateTimeField(_("recalled at"), null=True, blank=True, editable=False)
    recalled_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        blank=True,
        editable=False,
        related_name="+",
        verbose_name=_("recalled by"),
    )
    recall_reason = models.CharField(_("recall reason"), max_length=300, blank=True, editable=False)

    class Meta:
        abstract = True

    @property
    def is_recalled(self) -> bool:
        return self.recalled_at is not None


def recall_complete(name: str) -> models.CheckConstraint:
    """Give the rule that a recall is whole; ``name`` is the table's own."""
    return models.CheckConstraint(
        condition=Q(recalled_at__isnull=True, recalled_by__isnull=True, recall_reason="")
        | Q(recalled_at__isnull=False, recalled_by__isnull=False) & ~Q(recall_reason=""),
        name=name,
        violation_error_message=_("Recall: who, when and why stand together."),
    )
