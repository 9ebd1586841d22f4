"""One act of a plan."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from guides.choices import Action, Anchor, Height, Path

from .base import PartOfVersion
from .guide_version import GuideVersion

_WEIGHED = (Action.POUR, Action.ADD_BYPASS)


class Step(PartOfVersion):
    """Numbers are fields; the words beside them never repeat a number."""

    version = models.ForeignKey(GuideVersion, models.CASCADE, related_name="steps", verbose_name=_("version"))
    position = models.PositiveSmallIntegerField(_("place"))
    action = models.CharField(_("action"), max_length=12, choices=Action, default=Action.POUR)
    anchor = models.CharField(_("counts from"), max_length=10, choices=Anchor, default=Anchor.START)
    start_s = models.PositiveSmallIntegerField(_("from"), help_text=_("Minutes and seconds, such as 0:40."))
    end_s = models.PositiveSmallIntegerField(_("to"), help_text=_("The same as from for a single moment."))
    target_g = models.DecimalField(
        _("scale shows, g"),
        max_digits=6,
        decimal_places=1,
        null=True,
        blank=True,
        help_text=_("The reading when this step ends, counted from the dry dose."),
    )
    height = models.CharField(_("kettle height"), max_length=6, choices=Height, blank=True)
    path = models.CharField(_("path of the stream"), max_length=10, choices=Path, blank=True)
    turns = models.PositiveSmallIntegerField(_("turns"), null=True, blank=True)
    simple = models.CharField(_("simple words"), max_length=120, blank=True)
    in_depth = models.CharField(_("in depth"), max_length=300, blank=True)
    why = models.CharField(_("why"), max_length=300, blank=True, help_text=_("What, because, you'd notice: 40 words."))

    class Meta:
        verbose_name = _("step")
        verbose_name_plural = _("steps")
        # Places may tie for a moment while rows are moved about; the key settles it.
        ordering = ["version", "position", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(end_s__gte=F("start_s")),
                name="step_ends_after_start",
                violation_error_message=_("To: not before from."),
            ),
            models.CheckConstraint(
                condition=Q(action__in=_WEIGHED, target_g__isnull=False, target_g__gt=0)
                | ~Q(action__in=_WEIGHED) & Q(target_g__isnull=True),
                name="step_target_with_water",
                violation_error_message=_("Scale shows: needed when water is added, empty otherwise."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.position}. {self.get_action_display()}"

    def owning_version_id(self) -> int:
        return self.version_id
