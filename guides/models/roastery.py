"""The roastery's identity: one row."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import RegexValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from .base import Mutability, Record


def default_languages() -> list[str]:
    return ["en"]


class Roastery(Record):
    """Who publishes. The address customers reach and the time zone are settings of the site, shown here."""

    mutability = Mutability.MUTABLE

    name = models.CharField(_("name"), max_length=80)
    place = models.CharField(_("place"), max_length=80, blank=True)
    logo = models.ImageField(_("logo"), upload_to="roastery/", blank=True)
    accent = models.CharField(
        _("accent colour"),
        max_length=7,
        default="#8a3b12",
        validators=[RegexValidator(r"^#[0-9a-f]{6}$", _("Write six hexadecimal digits behind a #, such as #8a3b12."))],
        help_text=_("For titles and rules, such as #8a3b12. It must read well on the paper colour."),
    )
    languages = models.JSONField(
        _("languages"), default=default_languages, help_text=_('Codes, the main one first, such as ["en", "sv"].')
    )
    altitude_m = models.PositiveSmallIntegerField(_("altitude, m"), default=0)
    tap_hardness_mg_l = models.PositiveSmallIntegerField(_("tap hardness, mg/L as CaCO3"), null=True, blank=True)
    tap_alkalinity_mg_l = models.PositiveSmallIntegerField(_("tap alkalinity, mg/L as CaCO3"), null=True, blank=True)
    is_demo = models.BooleanField(default=False, editable=False)

    class Meta:
        verbose_name = _("roastery")
        verbose_name_plural = _("roastery")
        constraints = [
            models.CheckConstraint(
                condition=Q(pk=1), name="roastery_is_one_row", violation_error_message=_("There is one roastery here.")
            ),
            models.CheckConstraint(
                condition=Q(altitude_m__lte=5000),
                name="roastery_altitude_range",
                violation_error_message=_("Altitude: 0 to 5000 m."),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def save(self, *args: Any, **kwargs: Any) -> None:
        self.pk = 1
        super().save(*args, **kwargs)

    def clean(self) -> None:
        known = [code for code, _name in settings.LANGUAGES]
        if not isinstance(self.languages, list) or not self.languages or set(self.languages) - set(known):
            raise ValidationError(
                {"languages": _("Write a list of one or more of %(known)s.") % {"known": ", ".join(known)}}
            )

    @property
    def base_address(self) -> str:
        return settings.PUBLIC_BASE_URL

    @property
    def time_zone(self) -> str:
        return settings.TIME_ZONE

    @property
    def main_language(self) -> str:
        return str(self.languages[0])
