"""A guide in one line, for lists."""

from __future__ import annotations

from dataclasses import dataclass

from guides.models import GuideVersion

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
