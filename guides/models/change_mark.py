"""When something that shops read last changed."""

from __future__ import annotations

from enum import StrEnum
from typing import ClassVar

from django.db import models
from django.utils.translation import gettext_lazy as _

from .base import Mutability, Record


class About(StrEnum):
    """What a mark is about; ``key`` is that of the row, 0 for the house."""

    HOUSE = "house"
    BREWER = "brewer"
    COFFEE = "coffee"  # itself: its row and picture
    RANGE = "range"  # a coffee with all that hangs on it: guides, lots, what is printed for them
    LOT = "lot"
    GUIDE = "guide"
    VERSION = "version"
    BREWS = "brews"  # trial brews of a coffee
    WEBHOOK = "webhook"


class ChangeMark(Record):
    """Written by the databases themselves (``mark_triggers.py``). A mark stays when what it is about goes."""

    mutability = Mutability.MUTABLE
    on_pages: ClassVar[bool] = False

    about = models.CharField(max_length=8)
    key = models.PositiveBigIntegerField()
    at = models.DateTimeField()

    class Meta:
        verbose_name = _("mark of a change")
        verbose_name_plural = _("marks of changes")
        constraints = [
            models.UniqueConstraint(
                fields=["about", "key"],
                name="change_mark_once",
                violation_error_message=_("Key: there is one mark for each thing."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.about} {self.key}"
