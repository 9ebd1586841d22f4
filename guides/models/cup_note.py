"""What a taster wrote about one cup before they knew what was in it."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from .base import Mutability, Record
from .taster import Taster
from .tasting_cup import TastingCup

LONGEST_NOTE = 300


class CupNote(Record):
    mutability = Mutability.MUTABLE
    on_pages = False

    taster = models.ForeignKey(Taster, models.CASCADE, related_name="notes", verbose_name=_("taster"))
    cup = models.ForeignKey(TastingCup, models.CASCADE, related_name="notes", verbose_name=_("cup"))
    text = models.CharField(_("note"), max_length=LONGEST_NOTE, blank=True)  # the constraint names the field

    class Meta:
        verbose_name = _("note on a cup")
        verbose_name_plural = _("notes on cups")
        ordering = ["cup", "taster"]
        constraints = [
            models.UniqueConstraint(
                fields=["taster", "cup"],
                name="cup_note_once",
                violation_error_message=_("Note: this cup has one of this taster already."),
            ),
            models.CheckConstraint(
                condition=~Q(text=""), name="cup_note_has_text", violation_error_message=_("Note: not empty.")
            ),
        ]

    def __str__(self) -> str:
        return self.text
