"""How much liquid the wet grounds keep: a default until trial brews have measured it on this brewer."""

from __future__ import annotations

import math
from collections.abc import Sequence

from .constants import RETENTION, RETENTION_BETWEEN_BREWS, Z_90
from .validity import Window, check_range


def measured_retention(dose_g: float, water_g: float, beverage_g: float) -> float:
    """Give the liquid a trial brew's grounds kept.

    Args:
        dose_g: dry coffee in g.
        water_g: water poured through it in g.
        beverage_g: what ran out, weighed before any bypass, in g.

    Returns:
        Retained liquid in g per g of dose.

    Raises:
        OutOfRange: no dose, or more beverage than water.

    Valid range: dose above 0, beverage 0 to the water.
    Source: definition.

    >>> measured_retention(15, 250, 220)
    2.0
    """
    check_range("dose_g", dose_g, above=0, reason="a brew needs coffee")
    check_range("water_g", water_g, low=0, reason="a mass cannot be negative")
    check_range("beverage_g", beverage_g, low=0, high=water_g, reason="no more runs out than was poured")
    return (water_g - beverage_g) / dose_g


def retention_window(trials: Sequence[float] = ()) -> Window:
    """Predict what the grounds of a new brew will keep, from the trial brews so far.

    A normal prior around the default; the stated uncertainty of the default is that of one new brew.

    Args:
        trials: retained liquid of each trial brew in g/g.

    Returns:
        10th percentile, likely value and 90th percentile in g/g.

    Raises:
        OutOfRange: a trial outside 0.5 to 4 g/g.

    Valid range: trials 0.5 to 4 g/g.
    Source: normal posterior predictive; default and spreads are own defaults.

    >>> window = retention_window()
    >>> [round(value, 2) for value in (window.low, window.likely, window.high)]
    [1.72, 2.1, 2.48]
    """
    for trial in trials:
        check_range("trials", trial, low=0.5, high=4, reason="wet grounds keep one to three times their dose")
    between = RETENTION_BETWEEN_BREWS.value**2
    prior = RETENTION.uncertainty**2 - between
    weight = 1 / prior + len(trials) / between
    likely = (RETENTION.value / prior + sum(trials) / between) / weight
    spread = Z_90 * math.sqrt(1 / weight + between)
    return Window(max(likely - spread, 0.0), likely, likely + spread, len(trials))
