"""The spent bed from the side, as it should lie and as it was seen: one small drawing per piece of advice."""

from __future__ import annotations

from html import escape
from typing import Final

from guides.calculations.bed_check import BedAdvice

_WALL = "M20 10 L55 90 L65 90 L100 10"
# Surface and foot of the grounds inside the cone.
_FLAT = "M37 48 L83 48 L65 88 L55 88 Z"
_BEDS: Final = {
    BedAdvice.LEVEL: "M31 36 L86 62 L65 88 L55 88 Z",
    BedAdvice.LOWER: "M24 20 L29 20 Q36 56 60 58 Q84 56 91 20 L96 20 L65 88 L55 88 Z",
    BedAdvice.GENTLER: "M35 44 Q60 84 85 44 L65 88 L55 88 Z",
}


def bed_drawing(advice: BedAdvice, title: str) -> str:
    """Draw the bed that a piece of advice speaks of; the level it should have is dashed.

    Args:
        advice: what to do next time.
        title: the drawing in words, for who cannot see it.

    Returns:
        One ``<svg>`` element.
    """
    return (
        '<svg class="bed-drawing" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 120 100" role="img" '
        f'aria-label="{escape(title)}" fill="none" stroke="currentColor" stroke-width="2">'
        f'<path d="{_BEDS.get(advice, _FLAT)}" fill="currentColor" fill-opacity="0.35" stroke="none"/>'
        f'<path d="{_WALL}"/><path d="M37 48 L83 48" stroke-dasharray="4 3"/></svg>'
    )
