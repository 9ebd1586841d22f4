"""A trainer has seen a trainee brew one revision of a guide as it is written."""

from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from .base import AppendOnly
from .guide_version import GuideVersion
from .trainee import Trainee


class SignOff(AppendOnly):
    on_pages = False

    trainee = models.ForeignKey(Trainee, models.PROTECT, related_name="sign_offs", verbose_name=_("trainee"))
    version = models.ForeignKey(GuideVersion, models.PROTECT, related_name="sign_offs", verbose_name=_("revision"))
    signed_at = models.DateTimeField(_("signed off at"), default=timezone.now)
    signed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", verbose_name=_("signed off by")
    )

    class Meta:
        verbose_name = _("sign-off")
        verbose_name_plural = _("sign-offs")
        ordering = ["-signed_at", "-pk"]

    def __str__(self) -> str:
        return f"{self.trainee}: {self.version}"
