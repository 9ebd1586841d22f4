"""How much water a brewer takes, and what to do with the rest: it goes around the coffee."""

from __future__ import annotations

from dataclasses import dataclass

from .constants import DRY_BED_ML_PER_G, HOT_WATER_FILL
from .freshness import GasLevel, foam_ml_per_g
from .rounding import round_down
from .validity import check_range

LIMIT_STEP_G = 10.0
"""Limits are shown rounded down to this."""


@dataclass(frozen=True)
class Split:
    """Water through the coffee and water around it, in g."""

    water_g: float
    bypass_g: float


def most_water_g(usable_ml: float, dose_g: float, gas: GasLevel) -> float:
    """Give the most hot water a brewer holds over its coffee while nothing runs off: bed and foam take their room.

    Args:
        usable_ml: volume of the brewer to its line, paper in place, in mL.
        dose_g: dry coffee in g.
        gas: gas level of the coffee.

    Returns:
        Hot water in g, not rounded; 0 where bed and foam alone fill the brewer.

    Raises:
        OutOfRange: outside the valid range.

    Valid range: usable volume 20 to 5000 mL, dose above 0.
    Source: own default (displacement, foam, density of hot water).

    >>> round(most_water_g(240, 15, GasLevel.LIVELY), 1)
    194.4
    """
    check_range("usable_ml", usable_ml, low=20, high=5000, reason="a brewer for coffee")
    check_range("dose_g", dose_g, above=0, reason="a brew needs coffee")
    taken_ml = dose_g * (DRY_BED_ML_PER_G.value + foam_ml_per_g(gas))
    return max(HOT_WATER_FILL.value * (usable_ml - taken_ml), 0.0)


def shut_limit_g(usable_ml: float, dose_g: float, gas: GasLevel) -> float:
    """Give the most water above a shut valve, as shown: rounded down to 10 g.

    Args:
        usable_ml: volume of the brewer to its line, paper in place, in mL.
        dose_g: dry coffee in g.
        gas: gas level of the coffee.

    Returns:
        Hot water in g.

    Raises:
        OutOfRange: as for ``most_water_g``.

    Valid range: as for ``most_water_g``.
    Source: own default.

    >>> shut_limit_g(240, 15, GasLevel.LIVELY)
    190.0
    """
    return round_down(most_water_g(usable_ml, dose_g, gas), LIMIT_STEP_G)


def split(water_g: float, bypass_g: float, held_g: float, limit_g: float) -> Split:
    """Move what does not fit from the coffee to the cup.

    Args:
        water_g: water the plan pours through the coffee in g.
        bypass_g: water the plan adds to the cup in g.
        held_g: most water the brewer would have to hold at once in g.
        limit_g: most it may hold in g.

    Returns:
        Water and bypass with the same sum.

    Raises:
        OutOfRange: a negative mass.

    Valid range: masses 0 and up.
    Source: arithmetic.

    >>> split(240, 0, 240, 190)
    Split(water_g=190, bypass_g=50)
    """
    for name, mass in (("water_g", water_g), ("bypass_g", bypass_g), ("held_g", held_g), ("limit_g", limit_g)):
        check_range(name, mass, low=0, reason="a mass cannot be negative")
    excess = min(max(held_g - limit_g, 0), water_g)
    return Split(water_g - excess, bypass_g + excess)
