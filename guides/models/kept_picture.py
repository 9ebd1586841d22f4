"""What a row knows of a picture in the store: its name, its size, and what it shows, in words."""

from __future__ import annotations

from typing import Final

from django.core.validators import RegexValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

WIDTHS: Final = (480, 960)
"""Editions narrower than the picture itself, in pixels: a phone, and a phone with fine pixels."""
LONGEST_ALT: Final = 160


def picture_name(name: str, width: int, form: str) -> str:
    """Give the stored name of one edition of a picture."""
    return f"pictures/{name}-{width}.{form}"


def default_alt() -> dict[str, str]:
    return {}


class KeptPicture(models.Model):
    """Columns of a picture. ``alt`` holds what it shows by language; files are written once and never removed."""

    name = models.CharField(max_length=32, validators=[RegexValidator(r"^[0-9a-f]{32}$")], editable=False)
    sha256 = models.CharField(max_length=64, editable=False)
    width = models.PositiveSmallIntegerField(editable=False)
    height = models.PositiveSmallIntegerField(editable=False)
    widths = models.JSONField(editable=False)
    alt = models.JSONField(_("what it shows, in words"), default=default_alt)

    class Meta:
        abstract = True
        constraints = [
            models.CheckConstraint(
                condition=Q(width__gt=0, height__gt=0) & ~Q(name=""),
                name="%(class)s_has_picture",
                violation_error_message=_("Picture: choose one."),
            )
        ]
