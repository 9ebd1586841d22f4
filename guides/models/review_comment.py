"""What a reviewer asks to be changed, at the step it is about."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from .base import PartOfVersion
from .guide_version import GuideVersion
from .step import Step


class ReviewComment(PartOfVersion):
    """``place`` is the step's number when it was written, empty for the whole guide; ``step`` goes where it goes."""

    on_pages = False

    version = models.ForeignKey(GuideVersion, models.CASCADE, related_name="comments", verbose_name=_("version"))
    step = models.ForeignKey(
        Step, models.SET_NULL, null=True, blank=True, related_name="comments", verbose_name=_("step")
    )
    place = models.PositiveSmallIntegerField(_("place"), null=True, blank=True)
    text = models.CharField(_("comment"), max_length=300, blank=True)
    written_at = models.DateTimeField(_("written at"), default=timezone.now)
    written_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", verbose_name=_("written by")
    )
    resolved_at = models.DateTimeField(_("done at"), null=True, blank=True)
    resolved_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+", verbose_name=_("done by")
    )

    class Meta:
        verbose_name = _("comment of a review")
        verbose_name_plural = _("comments of a review")
        ordering = ["written_at", "place", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(text=""),
                name="comment_says_something",
                violation_error_message=_("Comment: say what to change."),
            ),
            models.CheckConstraint(
                condition=Q(resolved_at__isnull=True, resolved_by__isnull=True)
                | Q(resolved_at__isnull=False, resolved_by__isnull=False),
                name="comment_resolved_by_and_at",
                violation_error_message=_("Done: who and when stand together."),
            ),
        ]

    def __str__(self) -> str:
        return self.text

    def owning_version_id(self) -> int:
        return self.version_id
