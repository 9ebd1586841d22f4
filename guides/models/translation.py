"""Words of a version and its steps in further languages. Numbers never live here."""

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from .base import PartOfVersion
from .guide_version import GuideVersion
from .step import Step


class VersionText(PartOfVersion):
    version = models.ForeignKey(GuideVersion, models.CASCADE, related_name="texts", verbose_name=_("version"))
    language = models.CharField(_("language"), max_length=8, choices=settings.LANGUAGES)
    title = models.CharField(_("title"), max_length=80)
    summary = models.CharField(_("in a sentence"), max_length=160, blank=True)
    in_depth = models.TextField(_("in depth"), max_length=1500, blank=True)
    why = models.TextField(_("why this plan"), max_length=600, blank=True)

    class Meta:
        verbose_name = _("translation")
        verbose_name_plural = _("translations")
        constraints = [
            models.UniqueConstraint(
                fields=["version", "language"],
                name="version_text_language_once",
                violation_error_message=_("Language: this version has it already."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.version} [{self.language}]"

    def owning_version_id(self) -> int:
        return self.version_id


class StepText(PartOfVersion):
    step = models.ForeignKey(Step, models.CASCADE, related_name="texts", verbose_name=_("step"))
    language = models.CharField(_("language"), max_length=8, choices=settings.LANGUAGES)
    simple = models.CharField(_("simple words"), max_length=120, blank=True)
    in_depth = models.CharField(_("in depth"), max_length=300, blank=True)
    why = models.CharField(_("why"), max_length=300, blank=True)

    class Meta:
        verbose_name = _("translated step")
        verbose_name_plural = _("translated steps")
        constraints = [
            models.UniqueConstraint(
                fields=["step", "language"],
                name="step_text_language_once",
                violation_error_message=_("Language: this step has it already."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.step} [{self.language}]"

    def owning_version_id(self) -> int:
        return self.step.version_id
