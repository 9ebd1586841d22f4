"""The photo of a trial brew: the bed, the cup, whatever words miss. Staff's own; customers never see it."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _

from .base import Mutability, Record
from .kept_picture import KeptPicture
from .trial_brew import TrialBrew


class TrialPicture(KeptPicture, Record):
    mutability = Mutability.MUTABLE
    on_pages = False

    brew = models.OneToOneField(TrialBrew, models.CASCADE, related_name="picture", verbose_name=_("trial brew"))

    class Meta(KeptPicture.Meta):
        verbose_name = _("photo of a trial brew")
        verbose_name_plural = _("photos of trial brews")
        ordering = ["brew"]

    def __str__(self) -> str:
        return str(self.brew)
