"""Whoever has changed a draft: its writers, who do not approve it by themselves."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from .base import PartOfVersion
from .guide_version import GuideVersion


class VersionEditor(PartOfVersion):
    on_pages = False

    version = models.ForeignKey(GuideVersion, models.CASCADE, related_name="editors", verbose_name=_("version"))
    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", verbose_name=_("by"))

    class Meta:
        verbose_name = _("writer of a version")
        verbose_name_plural = _("writers of a version")
        constraints = [
            models.UniqueConstraint(
                fields=["version", "user"],
                name="version_editor_once",
                violation_error_message=_("By: named as a writer of this version already."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.version} ← {self.user.display_name}"

    def owning_version_id(self) -> int:
        return self.version_id
