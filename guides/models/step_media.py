"""What a step shows besides words: a picture, and a short clip. They freeze with their version."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from .base import PartOfVersion
from .kept_picture import KeptPicture
from .step import Step


class StepPicture(KeptPicture, PartOfVersion):
    step = models.OneToOneField(Step, models.CASCADE, related_name="picture", verbose_name=_("step"))

    class Meta(KeptPicture.Meta):
        verbose_name = _("picture of a step")
        verbose_name_plural = _("pictures of steps")
        ordering = ["step__version", "step__position"]

    def __str__(self) -> str:
        return f"{self.step.version}: {self.step}"

    def owning_version_id(self) -> int:
        return self.step.version_id


class StepClip(KeptPicture, PartOfVersion):
    """A clip with its captions; the picture is what stands in its place until it is tapped, ``alt`` its name.

    ``file`` is its stored name, ``file_sha256`` the hash of it; ``captions`` holds stored names by language.
    """

    step = models.OneToOneField(Step, models.CASCADE, related_name="clip", verbose_name=_("step"))
    file = models.CharField(max_length=60, editable=False)
    file_sha256 = models.CharField(max_length=64, editable=False)
    size = models.PositiveIntegerField(editable=False)
    seconds = models.DecimalField(_("lasts, s"), max_digits=4, decimal_places=1, editable=False)
    captions = models.JSONField(_("captions"), editable=False)

    class Meta(KeptPicture.Meta):
        verbose_name = _("clip of a step")
        verbose_name_plural = _("clips of steps")
        ordering = ["step__version", "step__position"]
        constraints = [
            *KeptPicture.Meta.constraints,
            models.CheckConstraint(
                condition=Q(size__gt=0, seconds__gt=0) & ~Q(file=""),
                name="step_clip_has_file",
                violation_error_message=_("Clip: choose one."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.step.version}: {self.step}"

    def owning_version_id(self) -> int:
        return self.step.version_id
