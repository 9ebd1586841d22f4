"""The audit trail: who did what to which object, when and why."""

from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.choices import Verb

from .base import AppendOnly
from .guide import Guide
from .guide_version import GuideVersion
from .lot import Lot


class Event(AppendOnly):
    on_pages = False

    at = models.DateTimeField(_("at"), default=timezone.now)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", verbose_name=_("by"))
    verb = models.CharField(_("act"), max_length=16, choices=Verb)
    guide = models.ForeignKey(
        Guide, models.PROTECT, null=True, blank=True, related_name="events", verbose_name=_("guide")
    )
    # A deleted draft leaves its acts behind, so the number is kept and not a reference.
    version_id = models.BigIntegerField(_("version"), null=True, blank=True)
    lot = models.ForeignKey(Lot, models.PROTECT, null=True, blank=True, related_name="events", verbose_name=_("lot"))
    reason = models.CharField(_("reason"), max_length=300, blank=True)
    details = models.JSONField(_("details"), default=dict, blank=True)

    class Meta:
        verbose_name = _("event")
        verbose_name_plural = _("events")
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d %H:%M} {self.get_verb_display()}"

    def version(self) -> GuideVersion | None:
        return GuideVersion.objects.filter(pk=self.version_id).first() if self.version_id else None
