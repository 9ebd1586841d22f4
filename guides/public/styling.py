"""The style of public pages, carried inside the first answer so that nothing waits for a second one.

The text is the same for every page, so its hash in the policy header stays the same too, and an unchanged page can
be answered with 304.
"""

from __future__ import annotations

import base64
import hashlib
import re
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles import finders
from django.templatetags.static import static

from guides.presenters import colours, contrast

_SHEETS = ("css/tokens.css", "css/public.css")
_DARK_PAPER = "#14191d"  # as in tokens.css
_GLOW = 6.5  # contrast at which an accent still shines in the dark


@dataclass(frozen=True)
class Style:
    """The text of a ``<style>`` element and the source that lets the policy accept it."""

    text: str
    source: str


def style(accent: str) -> Style:
    """Give the style of every page, with the roastery's accent in it."""
    stamps = tuple(path.stat().st_mtime_ns for path in _paths()) if settings.DEBUG else ()
    return _made(accent, stamps)


@lru_cache(maxsize=4)
def _made(accent: str, _stamps: tuple[int, ...]) -> Style:
    tokens, rules = (_small(path.read_text(encoding="utf-8")) for path in _paths())
    tokens = re.sub(r'url\("\.\./([^"]+)"\)', lambda found: f"url({static(found[1])})", tokens)
    text = tokens + _accent(accent) + rules
    digest = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
    return Style(text, f"'sha256-{digest}'")


def _accent(accent: str) -> str:
    """Name the accent for light and dark, each so that it reads on its paper."""
    light, dark = colours.readable_on(accent, contrast.PAPER), colours.readable_on(accent, _DARK_PAPER, _GLOW)
    return (
        f":root{{--accent:{light};--on-accent:{colours.text_on(light)}}}"
        f"@media (prefers-color-scheme:dark){{:root{{--accent:{dark};--on-accent:{colours.text_on(dark)}}}}}"
    )


def _paths() -> list[Path]:
    return [Path(str(finders.find(name))) for name in _SHEETS]


def _small(css: str) -> str:
    """Leave out comments and the white space that carries no meaning."""
    css = re.sub(r"/\*.*?\*/", "", css, flags=re.DOTALL)
    css = re.sub(r"\s+", " ", css)
    return re.sub(r"\s*([{};,>])\s*|(?<=[:(])\s+", lambda found: found[1] or "", css).replace(";}", "}").strip()
