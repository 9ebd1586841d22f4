"""Words of a version and its steps in further languages. Numbers never live here."""

from __future__ import annotations

from typing import Any, ClassVar

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from .base import PartOfVersion
from .guide_version import GuideVersion
from .step import Step


class Translated(PartOfVersion):
    """Keeps beside each text the words it was made from, so that a change of those shows."""

    TEXTS: ClassVar[tuple[str, ...]]

    made_from = models.JSONField(_("made from"), default=dict, blank=True, editable=False)

    class Meta:
        abstract = True

    @property
    def source(self) -> GuideVersion | Step:
        """What holds the words it was made from."""
        raise NotImplementedError

    def is_outdated(self, name: str, source: GuideVersion | Step) -> bool:
        """Say whether the words of ``source`` are other than a text was made from."""
        return bool(getattr(self, name)) and self.made_from.get(name, getattr(source, name)) != getattr(source, name)

    def said(self, name: str, source: GuideVersion | Step) -> str:
        """Give a text for customers: empty where it is missing or outdated."""
        return "" if self.is_outdated(name, source) else str(getattr(self, name))

    def save(self, *args: Any, **kwargs: Any) -> None:
        # A text that does not say what it was made from was made from the words there are.
        source = self.source
        filled = (name for name in self.TEXTS if getattr(self, name))
        self.made_from = {name: self.made_from.get(name, getattr(source, name)) for name in filled}
        super().save(*args, **kwargs)


class VersionText(Translated):
    TEXTS = ("title", "summary", "in_depth", "why")

    version = models.ForeignKey(GuideVersion, models.CASCADE, related_name="texts", verbose_name=_("version"))
    language = models.CharField(_("language"), max_length=8, choices=settings.LANGUAGES)
    title = models.CharField(_("title"), max_length=80, blank=True)
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

    @property
    def source(self) -> GuideVersion:
        return self.version

    def owning_version_id(self) -> int:
        return self.version_id


class StepText(Translated):
    TEXTS = ("simple", "in_depth", "why")

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

    @property
    def source(self) -> Step:
        return self.step

    def owning_version_id(self) -> int:
        return self.step.version_id
