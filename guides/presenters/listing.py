"""Coffees and their guides for lists: a guide in one line."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from guides.models import Coffee, GuideVersion
from guides.queries.catalogue import Listed

from .numbers import Figures


@dataclass(frozen=True)
class GuideLine:
    """``recipe`` is dose and all water; ``lang`` the language its words are in."""

    number: int
    revision: int
    slug: str
    title: str
    summary: str
    brewer: str
    recipe: str
    lang: str


@dataclass(frozen=True)
class OnShelf:
    """A coffee with its first guides; its own page has ``more`` of them."""

    coffee: Coffee
    guides: tuple[GuideLine, ...]
    more: int


def shelf(listed: Iterable[Listed], language: str) -> list[OnShelf]:
    """Give coffees with their guides in lines, in a language where there is a translation."""
    return [
        OnShelf(each.coffee, tuple(line(version, language) for version in each.guides), each.more) for each in listed
    ]


def line(version: GuideVersion, language: str) -> GuideLine:
    """Give a published version in one line.

    Args:
        version: with its texts and brewer at hand.
        language: of the words, where there is a translation.
    """
    text = next((text for text in version.texts.all() if text.language == language), None)
    words = text if text is not None else version
    figures = Figures(language)
    water_g = float(version.water_g + version.bypass_g + version.ice_g)
    return GuideLine(
        number=version.guide.number,
        revision=version.revision or 0,
        slug=version.guide.slug,
        title=words.title,
        summary=words.summary,
        brewer=version.brewer.name,
        recipe=f"{figures.grams(float(version.dose_g))} → {figures.grams(water_g)}",
        lang=words.language,
    )
