"""How often a guide was opened on a day: a number and nothing about who."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from guides.choices import Opened

from .base import Mutability, Record
from .guide import Guide


class GuideOpens(Record):
    """``times`` is "at least": what a cache or a phone keeps is not seen here, and a killed process loses seconds."""

    mutability = Mutability.MUTABLE
    on_pages = False

    guide = models.ForeignKey(Guide, models.CASCADE, related_name="opens", verbose_name=_("guide"))
    day = models.DateField(_("day"), help_text=_("In the roastery's zone."))
    what = models.CharField(_("what"), max_length=8, choices=Opened)
    times = models.PositiveIntegerField(_("times, at least"))

    class Meta:
        verbose_name = _("opens of a day")
        verbose_name_plural = _("opens")
        ordering = ["-day", "guide__number", "what"]
        constraints = [
            models.UniqueConstraint(
                fields=["guide", "day", "what"],
                name="opens_once_a_day",
                violation_error_message=_("Day: this guide has its number for that day already."),
            ),
            models.CheckConstraint(
                condition=Q(times__gt=0), name="opens_above_zero", violation_error_message=_("Times: more than 0.")
            ),
        ]

    def __str__(self) -> str:
        return f"{self.guide}, {self.day}: {self.times} × {self.get_what_display()}"
