"""Small pictures for the desk."""

from __future__ import annotations

from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from guides.models import Roastery
from guides.models.kept_picture import KeptPicture
from guides.presenters import pictures

_WIDE = 160


def thumbnail(row: KeptPicture, language: str) -> SafeString:
    """Show the picture of a row, named in a language."""
    picture = pictures.of_row(row, language)
    if picture is None:
        return SafeString("")
    height = round(picture.height * _WIDE / picture.width)
    return format_html('<img src="{}" width="{}" height="{}" alt="{}">', picture.src, _WIDE, height, picture.alt)


def logo_shown(roastery: Roastery) -> SafeString | str:
    """Show the logo, or say that there is none."""
    if not roastery.logo:
        return _("none")
    return format_html('<img src="{}" width="{}" alt="">', reverse("media", args=[roastery.logo.name]), _WIDE)
