"""Which guides belong to a lot, and whether they move on with new revisions."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from guides.choices import Follow

from .base import Mutability, Record
from .guide import Guide
from .guide_version import GuideVersion
from .lot import Lot


class Assignment(Record):
    mutability = Mutability.MUTABLE

    lot = models.ForeignKey(Lot, models.CASCADE, related_name="assignments", verbose_name=_("lot"))
    guide = models.ForeignKey(Guide, models.PROTECT, related_name="assignments", verbose_name=_("guide"))
    follow = models.CharField(_("follows"), max_length=8, choices=Follow, default=Follow.NEWEST)
    pinned = models.ForeignKey(
        GuideVersion, models.PROTECT, null=True, blank=True, related_name="pins", verbose_name=_("pinned version")
    )
    held_reason = models.CharField(_("why held"), max_length=200, blank=True)

    class Meta:
        verbose_name = _("guide of a lot")
        verbose_name_plural = _("guides of a lot")
        ordering = ["guide__number"]
        constraints = [
            models.UniqueConstraint(
                fields=["lot", "guide"],
                name="assignment_guide_once",
                violation_error_message=_("Guide: this lot has it already."),
            ),
            models.CheckConstraint(
                condition=Q(follow=Follow.PINNED, pinned__isnull=False)
                | ~Q(follow=Follow.PINNED) & Q(pinned__isnull=True),
                name="assignment_pinned_has_version",
                violation_error_message=_("Pinned version: choose one to stay on, and only then."),
            ),
            models.CheckConstraint(
                condition=~Q(follow=Follow.HELD, held_reason=""),
                name="assignment_held_has_reason",
                violation_error_message=_("Why held: say what is wrong for this lot."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.lot} ↔ {self.guide}"
