"""A place at a blind tasting: the order somebody tastes in, and what they chose."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from .base import Mutability, Record
from .tasting import Tasting
from .tasting_cup import TastingCup


class Taster(Record):
    """Nothing says who tasted but what they typed as a name, if anything. ``order`` is the codes as they are tasted.

    ``choice`` is the cup liked best, or the odd one of three; empty in notes that were sent means they could not say.
    """

    mutability = Mutability.MUTABLE
    on_pages = False

    tasting = models.ForeignKey(Tasting, models.CASCADE, related_name="tasters", verbose_name=_("blind tasting"))
    seat = models.PositiveSmallIntegerField(_("place"))
    name = models.CharField(_("name or initials"), max_length=20, blank=True)
    order = models.JSONField(_("order of cups"))
    joined_at = models.DateTimeField(_("joined at"), default=timezone.now)
    sent_at = models.DateTimeField(_("notes sent at"), null=True, blank=True)
    choice = models.ForeignKey(
        TastingCup, models.CASCADE, null=True, blank=True, related_name="chosen_by", verbose_name=_("choice")
    )

    class Meta:
        verbose_name = _("taster")
        verbose_name_plural = _("tasters")
        ordering = ["seat"]
        constraints = [
            models.UniqueConstraint(
                fields=["tasting", "seat"],
                name="taster_seat_once",
                violation_error_message=_("Place: taken already."),
            ),
            models.CheckConstraint(
                condition=Q(choice__isnull=True) | Q(sent_at__isnull=False),
                name="taster_choice_was_sent",
                violation_error_message=_("Choice: it comes with notes that were sent."),
            ),
        ]

    def __str__(self) -> str:
        return self.name or str(_("taster %(place)s") % {"place": self.seat})
