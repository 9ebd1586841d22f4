"""A mark that changes with everything customers' pages may show."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from .base import Mutability, Record


class PageStamp(Record):
    """One row, written by the database itself (``stamp_triggers.py``): a word never used before at every change.

    ``changed_at`` is when that was; empty from before it was noted.
    """

    mutability = Mutability.MUTABLE
    on_pages: ClassVar[bool] = False

    token = models.CharField(max_length=40)
    changed_at = models.DateTimeField(null=True)

    class Meta:
        verbose_name = _("page stamp")
        verbose_name_plural = _("page stamp")
        constraints = [
            models.CheckConstraint(
                condition=Q(pk=1),
                name="page_stamp_is_one_row",
                violation_error_message=_("ID: there is one stamp, number 1."),
            )
        ]

    def __str__(self) -> str:
        return self.token
