"""A guide's card in the pages of others: the frame that holds it, and what oEmbed 1.0 (oembed.com) says of it."""

from __future__ import annotations

from typing import Final

from django.conf import settings
from django.urls import Resolver404, resolve, reverse
from django.utils.html import format_html
from django.utils.http import urlencode
from django.utils.safestring import SafeString
from django.utils.translation import get_language_from_path, override

from . import addresses

WIDTH: Final = 480
HEIGHT: Final = 640
"""Pixels of a frame, where nobody asks for less; what does not fit in it scrolls."""


def frame(slug: str, title: str, language: str, width: int = WIDTH, height: int = HEIGHT) -> SafeString:
    """Give the HTML that shows a guide's card on any page, in one language; sizes in pixels."""
    with override(language):
        address = addresses.absolute(reverse("guide_card", args=[slug]))
    return format_html(
        '<iframe src="{}" title="{}" width="{}" height="{}" loading="lazy"></iframe>', address, title, width, height
    )


def oembed_address(slug: str, language: str) -> str:
    """Give where oEmbed describes a guide's page in one language."""
    with override(language):
        page = addresses.absolute(reverse("guide", args=[slug]))
    return addresses.absolute(f"{reverse('oembed')}?{urlencode({'url': page, 'format': 'json'})}")


def guide_of(url: str) -> tuple[str, str] | None:
    """Read the address of a guide's page on this site: its address word and language; ``None`` for any other text."""
    path = url.removeprefix(settings.PUBLIC_BASE_URL).partition("#")[0].partition("?")[0]
    if not url.startswith(f"{settings.PUBLIC_BASE_URL}/"):
        return None
    language = get_language_from_path(path)
    if not language:
        return None
    with override(language):
        try:
            found = resolve(path)
        except Resolver404:
            return None
    return (found.kwargs["slug"], language) if found.url_name in ("guide", "guide_card") else None
