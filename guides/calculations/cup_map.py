"""The map that cups are drawn on: its span, the published band as an outline, and the lines of one recipe. No grade."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from .constants import (
    CHART_EXTRACTION_HIGH,
    CHART_EXTRACTION_LOW,
    CHART_STRENGTH_HIGH,
    CHART_STRENGTH_LOW,
    USUAL_EXTRACTION_HIGH,
    USUAL_EXTRACTION_LOW,
    USUAL_STRENGTH_HIGH,
    USUAL_STRENGTH_LOW,
)
from .mass_balance import immersion_strength, shortcut_strength


@dataclass(frozen=True)
class Box:
    """A stretch of extraction and of strength, as fractions."""

    extraction_low: float
    extraction_high: float
    strength_low: float
    strength_high: float


SPAN: Final = Box(
    CHART_EXTRACTION_LOW.value, CHART_EXTRACTION_HIGH.value, CHART_STRENGTH_LOW.value, CHART_STRENGTH_HIGH.value
)
"""Of the published chart; sca-chart-2019."""
PUBLISHED_BAND: Final = Box(
    USUAL_EXTRACTION_LOW.value, USUAL_EXTRACTION_HIGH.value, USUAL_STRENGTH_LOW.value, USUAL_STRENGTH_HIGH.value
)
"""scaa-golden-cup-2015."""
_MIDDLE = 0.2


def recipe_slope(cup_ratio: float, retention_g_g: float, *, immersed: bool = False) -> float:
    """Give the strength per extraction of all cups of one recipe: the line they lie on.

    Args:
        cup_ratio: all water per gram of coffee, bypass and ice included.
        retention_g_g: liquid the grounds keep in g per g of dose.
        immersed: coffee and all water stay together until they are parted; the line is then taken at 20 %, where it
            bends by less than a hundredth.

    Returns:
        Strength over extraction, both as fractions.

    Raises:
        OutOfRange: a ratio that the grounds would keep whole.

    Valid range: as ``mass_balance.shortcut_strength``.
    Source: mass balance.

    >>> round(recipe_slope(18, 2), 4)
    0.0625
    """
    if immersed:
        return immersion_strength(_MIDDLE, cup_ratio) / _MIDDLE
    return shortcut_strength(_MIDDLE, cup_ratio, retention_g_g) / _MIDDLE
