"""Days since roasting: when a lot is at its best, and how much gas it still holds."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from .constants import (
    CO2_MOLAR_G,
    FOAM_LIVELY_ML_PER_G,
    FOAM_RESTED_ML_PER_G,
    FOAM_VERY_FRESH_ML_PER_G,
    GAS_CONSTANT,
    GAS_STEP_DAYS,
    STANDARD_PRESSURE_PA,
    Constant,
)
from .validity import check_range


class GasLevel(StrEnum):
    """How much a coffee foams when hot water meets it: a property of a lot at a date."""

    RESTED = "rested"
    LIVELY = "lively"
    VERY_FRESH = "very_fresh"


class RoastLevel(StrEnum):
    """How far a coffee was roasted."""

    LIGHT = "light"
    MEDIUM_LIGHT = "medium_light"
    MEDIUM = "medium"
    MEDIUM_DARK = "medium_dark"
    DARK = "dark"


class Phase(StrEnum):
    """Where a lot stands in its window."""

    REST = "rest"
    BEST = "best"
    USE_SOON = "use_soon"


@dataclass(frozen=True)
class BestDays:
    """First and last day since roasting, both inclusive, on which a lot is at its best."""

    first: int
    last: int


FOAM: Final[dict[GasLevel, Constant]] = {
    GasLevel.RESTED: FOAM_RESTED_ML_PER_G,
    GasLevel.LIVELY: FOAM_LIVELY_ML_PER_G,
    GasLevel.VERY_FRESH: FOAM_VERY_FRESH_ML_PER_G,
}
"""Foam in mL per g of dose."""

DEFAULT_DAYS: Final[dict[RoastLevel, BestDays]] = {
    RoastLevel.LIGHT: BestDays(10, 30),
    RoastLevel.MEDIUM_LIGHT: BestDays(8, 25),
    RoastLevel.MEDIUM: BestDays(7, 21),
    RoastLevel.MEDIUM_DARK: BestDays(5, 17),
    RoastLevel.DARK: BestDays(4, 14),
}
"""In a sealed valve bag near 20 degrees C: common practice, no source (sources disagree); the two levels in between
are our own interpolation. A lot's own days come first."""

_FALLING: Final = (GasLevel.VERY_FRESH, GasLevel.LIVELY, GasLevel.RESTED)


def best_days(roast: RoastLevel, own: BestDays | None = None) -> BestDays:
    """Give the days on which a lot is at its best: its own, or the usual ones of its roast level.

    Args:
        roast: roast level of the lot.
        own: days the roaster has set for this lot, if any.

    Returns:
        First and last day since roasting.

    Raises:
        OutOfRange: the lot's own days begin before roasting or end before they begin.

    Valid range: first day 0 and up, last day not before it.
    Source: common practice, no source.

    >>> best_days(RoastLevel.LIGHT)
    BestDays(first=10, last=30)
    """
    if own is None:
        return DEFAULT_DAYS[roast]
    check_range("first", own.first, low=0, reason="a window cannot begin before roasting")
    check_range("last", own.last, low=own.first, reason="a window cannot end before it begins")
    return own


def phase(age_days: int, days: BestDays, frozen_days: int = 0) -> Phase:
    """Say where a lot stands in its window. Days in the freezer do not count.

    Args:
        age_days: whole days since roasting.
        days: first and last day of the window.
        frozen_days: whole days of those spent frozen.

    Returns:
        Rest, at its best, or use soon.

    Raises:
        OutOfRange: a negative age, or more days frozen than have passed.

    Valid range: age 0 and up, frozen days 0 to the age.
    Source: common practice, no source.

    >>> phase(9, BestDays(8, 25))
    <Phase.BEST: 'best'>
    """
    check_range("age_days", age_days, low=0, reason="a lot cannot be roasted in the future")
    check_range("frozen_days", frozen_days, low=0, high=age_days, reason="no more days frozen than have passed")
    lived = age_days - frozen_days
    if lived < days.first:
        return Phase.REST
    return Phase.BEST if lived <= days.last else Phase.USE_SOON


def gas_level(stated: GasLevel, stated_age_days: float, age_days: float) -> GasLevel:
    """Give the gas level of a lot at an age, from its level at another age. It falls one step in about ten days.

    Args:
        stated: gas level somebody saw.
        stated_age_days: days since roasting when it was seen.
        age_days: days since roasting now.

    Returns:
        Gas level now; never higher than stated once later than the day it was seen, never lower before it.

    Raises:
        OutOfRange: an age that is negative or not finite.

    Valid range: ages 0 and up.
    Source: own default, to be replaced by what the roaster sees.

    >>> gas_level(GasLevel.VERY_FRESH, 7, 18)
    <GasLevel.LIVELY: 'lively'>
    """
    for name, age in (("stated_age_days", stated_age_days), ("age_days", age_days)):
        check_range(name, age, low=0, reason="an age counts from roasting")
    # Whole steps only: half a step is not a level anybody can see.
    steps = int((age_days - stated_age_days) / GAS_STEP_DAYS.value)
    return _FALLING[min(max(_FALLING.index(stated) + steps, 0), len(_FALLING) - 1)]


def foam_ml_per_g(gas: GasLevel) -> float:
    """Give the room foam takes above the bed.

    Args:
        gas: gas level of the coffee.

    Returns:
        Foam in mL per g of dose.

    Source: own default.

    >>> foam_ml_per_g(GasLevel.LIVELY)
    1.5
    """
    return FOAM[gas].value


def first_pour_g(dose_g: float, gas: GasLevel) -> float:
    """Give the first pour of an open brewer that wets the bed and lets its gas out.

    Args:
        dose_g: dry coffee in g.
        gas: gas level of the coffee.

    Returns:
        Water in g: 2 x the dose for a rested coffee, 2.5 x for a lively one, 3 x for a very fresh one.

    Raises:
        OutOfRange: a dose that is not above 0.

    Valid range: dose above 0.
    Source: common practice, no source.

    >>> first_pour_g(16, GasLevel.VERY_FRESH)
    48.0
    """
    check_range("dose_g", dose_g, above=0, reason="a brew needs coffee")
    return dose_g * {GasLevel.RESTED: 2.0, GasLevel.LIVELY: 2.5, GasLevel.VERY_FRESH: 3.0}[gas]


def co2_ml_per_g(co2_mg_per_g: float, temp_c: float = 20.0, pressure_pa: float = STANDARD_PRESSURE_PA.value) -> float:
    """Give the volume of the carbon dioxide a gram of roasted coffee still holds, as an ideal gas.

    Args:
        co2_mg_per_g: carbon dioxide in mg per g of coffee.
        temp_c: temperature of the gas in degrees C.
        pressure_pa: air pressure in Pa.

    Returns:
        Gas in mL per g of coffee.

    Raises:
        OutOfRange: outside the valid range.

    Valid range: 0 to 20 mg/g, -20 to 60 degrees C, 30 000 to 110 000 Pa.
    Source: codata-2018, iupac-2021.

    >>> round(co2_ml_per_g(10), 3)
    5.466
    """
    check_range("co2_mg_per_g", co2_mg_per_g, low=0, high=20, reason="roasted coffee holds no more")
    check_range("temp_c", temp_c, low=-20, high=60, reason="a store, not an oven")
    check_range("pressure_pa", pressure_pa, low=30_000, high=110_000, reason="air pressure on the ground")
    moles = co2_mg_per_g / 1000 / CO2_MOLAR_G.value
    return moles * GAS_CONSTANT.value * (temp_c + 273.15) / pressure_pa * 1e6
