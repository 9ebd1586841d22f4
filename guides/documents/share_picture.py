"""The picture that stands beside a link to a guide where somebody passes it on (Open Graph, ogp.me).

1200 × 630 pixels, in the roastery's own letters and accent: title, coffee, and the four figures that make the recipe.
"""

from __future__ import annotations

import hashlib
import io
from dataclasses import dataclass
from typing import Final

from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.urls import reverse
from django.utils.translation import gettext, override
from PIL import Image, ImageDraw, ImageFont

from guides.models import Roastery
from guides.presenters.colours import readable_on
from guides.presenters.sheet import Fact, GuideSheet

from . import typefaces

WIDTH, HEIGHT = 1200, 630
_PAPER, _INK, _MUTED, _RULE = "#faf8f3", "#1c2730", "#55616b", "#d9d3c7"
_EDGE = 72
_ROOM = WIDTH - 2 * _EDGE
_TITLE_SIZES: Final = (84, 76, 68, 60, 54, 48, 42)
_FIGURE_SIZES: Final = (64, 56, 50, 44, 38, 32)
_SHOWN: Final = ("dose", "water", "brew_ratio", "kettle")
_LINE: Final = 1.14
_EDITION: Final = "2"
"""Raised when the layout changes, so that pictures are drawn again."""


@dataclass(frozen=True)
class SharePicture:
    """What a page's head says of its picture; ``key`` changes whenever the picture does."""

    key: str
    address: str
    width: int
    height: int
    alt: str


def about(sheet: GuideSheet, house: Roastery) -> SharePicture:
    """Say where the picture of a published guide is, and what it shows, in the sheet's language."""
    key = _key(sheet, house)
    with override(sheet.language):
        path = reverse("share_picture", kwargs={"slug": sheet.slug, "key": key})
        figures = ", ".join(f"{fact.label} {fact.value}" for fact in _figures(sheet))
        alt = gettext("%(title)s: %(coffee)s, %(brewer)s. %(figures)s.") % {
            "title": sheet.title,
            "coffee": sheet.coffee,
            "brewer": sheet.brewer,
            "figures": figures,
        }
    return SharePicture(key, f"{settings.PUBLIC_BASE_URL}{path}", WIDTH, HEIGHT, alt)


def stored(key: str) -> bytes | None:
    """Give a picture that was drawn before."""
    if not default_storage.exists(_name(key)):
        return None
    with default_storage.open(_name(key)) as file:
        return bytes(file.read())


def png(sheet: GuideSheet, house: Roastery) -> bytes:
    """Give the picture of a guide, from the store where it was drawn before."""
    key = _key(sheet, house)
    kept = stored(key)
    if kept is None:
        kept = _drawn(sheet, house)
        default_storage.save(_name(key), ContentFile(kept))
    return kept


def _name(key: str) -> str:
    return f"share/{key}.png"


def _key(sheet: GuideSheet, house: Roastery) -> str:
    said = (
        _EDITION,
        sheet.language,
        sheet.title,
        sheet.coffee,
        sheet.brewer,
        *(f"{fact.label}={fact.value}" for fact in _figures(sheet)),
        house.name,
        house.accent,
    )
    return hashlib.sha256("\0".join(said).encode()).hexdigest()[:20]


def _figures(sheet: GuideSheet) -> list[Fact]:
    facts = {fact.key: fact for fact in (*sheet.ingredients, *sheet.targets)}
    return [facts[name] for name in _SHOWN if name in facts]


def _drawn(sheet: GuideSheet, house: Roastery) -> bytes:
    picture = Image.new("RGB", (WIDTH, HEIGHT), _PAPER)
    draw = ImageDraw.Draw(picture)
    accent = readable_on(house.accent, _PAPER)
    draw.rectangle((0, 0, 20, HEIGHT), fill=accent)
    draw.text((_EDGE, 52), house.name, font=_font(32, bold=True), fill=_MUTED)

    size, lines = _fitted(sheet.title, _TITLE_SIZES, tall=250)
    y = 116
    for line in lines:
        draw.text((_EDGE, y), line, font=_font(size, bold=True), fill=_INK)
        y += round(size * _LINE)
    size, lines = _fitted(f"{sheet.coffee} · {sheet.brewer}", (38, 32, 28), tall=46, bold=False)
    for line in lines:
        draw.text((_EDGE, y + 14), line, font=_font(size), fill=_MUTED)
        y += round(size * 1.2)

    _draw_figures(draw, _figures(sheet), accent)
    out = io.BytesIO()
    picture.quantize(64, dither=Image.Dither.NONE).save(out, "PNG", optimize=True)
    return out.getvalue()


def _draw_figures(draw: ImageDraw.ImageDraw, figures: list[Fact], accent: str) -> None:
    """A row along the foot, as on the page: small label, large figure."""
    if not figures:
        return
    column = _ROOM / len(figures)
    longest = max((fact.value for fact in figures), key=lambda value: _font(40, bold=True).getlength(value))
    size = next((s for s in _FIGURE_SIZES if _font(s, bold=True).getlength(longest) <= column - 24), _FIGURE_SIZES[-1])
    for index, fact in enumerate(figures):
        x = _EDGE + index * column
        draw.rectangle((x, 452, x + column - 28, 456), fill=_RULE)
        label = next(s for s in (30, 26, 22, 18) if _font(s).getlength(fact.label) <= column - 28 or s == 18)
        draw.text((x, 466), fact.label, font=_font(label), fill=_MUTED)
        draw.text((x, 566), fact.value, font=_font(size, bold=True), fill=accent, anchor="ls")


def _fitted(text: str, sizes: tuple[int, ...], *, tall: float, bold: bool = True) -> tuple[int, list[str]]:
    """The largest letters in which a text is no taller than that; in the smallest it takes what it needs."""
    for size in sizes:
        lines = _wrapped(text, _font(size, bold=bold))
        if len(lines) * size * _LINE <= tall:
            return size, lines
    return size, lines


def _wrapped(text: str, font: ImageFont.FreeTypeFont) -> list[str]:
    lines: list[str] = [""]
    for word in text.split():
        while font.getlength(word) > _ROOM:  # a word wider than the picture breaks where it must
            cut = next(n for n in range(len(word) - 1, 0, -1) if font.getlength(word[:n]) <= _ROOM)
            lines += [word[:cut], ""]
            word = word[cut:]
        longer = f"{lines[-1]} {word}".strip()
        if font.getlength(longer) <= _ROOM:
            lines[-1] = longer
        else:
            lines.append(word)
    return [line for line in lines if line]


def _font(size: int, *, bold: bool = False) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(io.BytesIO(typefaces.unpacked(700 if bold else 400)), size)
