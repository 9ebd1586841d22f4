"""Where the dissolved coffee goes: strength of the drink and extraction of the dose.

D is the dry dose, W the water poured through it, B the beverage, T its strength and E the extraction, both as
fractions by mass; R is W/D.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from .validity import check_range

MOST_EXTRACTION = 0.35
"""No more of roasted coffee dissolves."""
_FRACTION = "a fraction by mass: 1.35 % is 0.0135"
_COFFEE = "a brew needs coffee"
_MASS = "a mass cannot be negative"


@dataclass(frozen=True)
class Measured:
    """A value and one standard deviation, same unit."""

    value: float
    sd: float


def percolation_extraction(strength: float, beverage_g: float, dose_g: float) -> float:
    """Give the extraction of a percolation brew: what left the bed is in the cup.

    Args:
        strength: of the beverage before any bypass, as a fraction.
        beverage_g: beverage in g.
        dose_g: dry coffee in g.

    Returns:
        Extraction as a fraction of the dose.

    Raises:
        OutOfRange: strength outside 0 to 0.3, negative beverage, or no dose.

    Valid range: strength 0 to 0.3, beverage 0 and up, dose above 0.
    Source: ristenpart-2023 (its printed values follow this formula).

    >>> round(percolation_extraction(0.014, 220, 15), 5)
    0.20533
    """
    _strength(strength)
    check_range("beverage_g", beverage_g, low=0, reason=_MASS)
    return strength * beverage_g / check_range("dose_g", dose_g, above=0, reason=_COFFEE)


def immersion_extraction(strength: float, ratio: float) -> float:
    """Give the extraction of an immersion brew: all water, drunk or kept, is at cup strength.

    Args:
        strength: of the beverage, as a fraction.
        ratio: water per gram of coffee, W/D.

    Returns:
        Extraction as a fraction of the dose.

    Raises:
        OutOfRange: strength outside 0 to 0.3, or no water.

    Valid range: strength 0 to 0.3, ratio above 0.
    Source: liang-2021.

    >>> round(immersion_extraction(0.014, 250 / 15), 5)
    0.23665
    """
    _strength(strength)
    return strength / (1 - strength) * check_range("ratio", ratio, above=0, reason="a brew needs water")


def general_extraction(
    strength: float, beverage_g: float, water_g: float, dose_g: float, retained_strength: float
) -> float:
    """Give the extraction when the liquid kept by the grounds has a strength of its own.

    With 0 this is percolation, with the strength of the cup it is immersion. The last drops of a valve brew, caught
    and measured, stand for the retained liquid.

    Args:
        strength: of the beverage before any bypass, as a fraction.
        beverage_g: beverage in g.
        water_g: water poured through the coffee in g.
        dose_g: dry coffee in g.
        retained_strength: of the liquid left in the grounds, as a fraction.

    Returns:
        Extraction as a fraction of the dose.

    Raises:
        OutOfRange: a strength outside 0 to 0.3, no dose, or more dissolved coffee and water in the cup than went in.

    Valid range: strengths 0 to 0.3; beverage 0 to water plus dose.
    Source: mass balance of water and of dissolved coffee.

    >>> round(general_extraction(0.014, 220, 250, 15, 0.008), 5)
    0.22312
    """
    _strength(strength)
    _strength(retained_strength, "retained_strength")
    check_range("dose_g", dose_g, above=0, reason=_COFFEE)
    check_range("water_g", water_g, low=0, reason=_MASS)
    check_range("beverage_g", beverage_g, low=0, high=water_g + dose_g, reason="no more comes out than went in")
    dissolved = strength * beverage_g + retained_strength * (water_g - beverage_g)
    return dissolved / ((1 - retained_strength) * dose_g)


def percolation_strength(extraction: float, ratio: float, water_kept_g_g: float) -> float:
    """Predict the strength of a percolation brew, exactly: dissolved coffee adds to the beverage's mass.

    Args:
        extraction: as a fraction of the dose.
        ratio: water per gram of coffee, W/D.
        water_kept_g_g: solute-free water the grounds keep, in g per g of dose.

    Returns:
        Strength as a fraction.

    Raises:
        OutOfRange: extraction outside 0 to 0.35, or a ratio the grounds would keep whole.

    Valid range: extraction 0 to 0.35, ratio above the water kept.
    Source: mass balance.

    >>> round(percolation_strength(0.20, 1000 / 55, 2), 6)
    0.012209
    """
    _extraction(extraction)
    _kept(ratio, water_kept_g_g)
    return extraction / (ratio - water_kept_g_g + extraction)


def shortcut_strength(extraction: float, ratio: float, retention_g_g: float) -> float:
    """Predict the strength by the everyday shortcut: extraction shared out over the beverage as weighed.

    Args:
        extraction: as a fraction of the dose.
        ratio: water per gram of coffee, W/D.
        retention_g_g: liquid the grounds keep, (W - B)/D, in g per g of dose.

    Returns:
        Strength as a fraction. Exact where the retention was weighed; about 1 % too strong where it was guessed as
        pure water.

    Raises:
        OutOfRange: extraction outside 0 to 0.35, or a ratio the grounds would keep whole.

    Valid range: extraction 0 to 0.35, ratio above the retention.
    Source: common practice, no source.

    >>> round(shortcut_strength(0.20, 1000 / 55, 2), 6)
    0.01236
    """
    _extraction(extraction)
    _kept(ratio, retention_g_g)
    return extraction / (ratio - retention_g_g)


def immersion_strength(extraction: float, ratio: float) -> float:
    """Predict the strength of an immersion brew.

    Args:
        extraction: as a fraction of the dose.
        ratio: water per gram of coffee, W/D.

    Returns:
        Strength as a fraction.

    Raises:
        OutOfRange: extraction outside 0 to 0.35, or no water.

    Valid range: extraction 0 to 0.35, ratio above 0.
    Source: liang-2021.

    >>> round(immersion_strength(0.20, 1000 / 55), 6)
    0.01088
    """
    _extraction(extraction)
    check_range("ratio", ratio, above=0, reason="a brew needs water")
    return extraction / (ratio + extraction)


def dilution_g(beverage_g: float, strength: float, wanted_strength: float) -> float:
    """Give the water that brings a beverage down to a wanted strength.

    Args:
        beverage_g: beverage in g.
        strength: its strength as a fraction.
        wanted_strength: as a fraction, not above ``strength``.

    Returns:
        Water to add in g.

    Raises:
        OutOfRange: a strength outside its range, or a wanted strength above what is there.

    Valid range: beverage 0 and up; wanted strength above 0, up to the strength.
    Source: mass balance.

    >>> round(dilution_g(148.5, 0.0202, 0.0144), 1)
    59.8
    """
    check_range("beverage_g", beverage_g, low=0, reason=_MASS)
    _strength(strength)
    check_range("wanted_strength", wanted_strength, above=0, high=strength, reason="water only makes it weaker")
    return beverage_g * (strength / wanted_strength - 1)


def diluted_strength(beverage_g: float, strength: float, added_g: float) -> float:
    """Give the strength after water has been added; also turns a sample before bypass into one after it.

    Args:
        beverage_g: beverage in g.
        strength: its strength as a fraction.
        added_g: water or melted ice in g.

    Returns:
        Strength as a fraction.

    Raises:
        OutOfRange: no beverage, a strength outside 0 to 0.3, or negative water.

    Valid range: beverage above 0, added water 0 and up.
    Source: mass balance.

    >>> round(diluted_strength(148.5, 0.0202, 60), 5)
    0.01439
    """
    _strength(strength)
    check_range("beverage_g", beverage_g, above=0, reason="nothing to dilute")
    check_range("added_g", added_g, low=0, reason=_MASS)
    return strength * beverage_g / (beverage_g + added_g)


def extraction_with_error(strength: Measured, beverage_g: Measured, dose_g: Measured) -> Measured:
    """Give the extraction of a percolation brew with its uncertainty, by first-order propagation.

    Args:
        strength: as a fraction, with its standard deviation.
        beverage_g: beverage in g, with its standard deviation.
        dose_g: dry coffee in g, with its standard deviation.

    Returns:
        Extraction as a fraction, with its standard deviation.

    Raises:
        OutOfRange: as for ``percolation_extraction``, or a negative standard deviation.

    Valid range: as for ``percolation_extraction``; errors small beside the values.
    Source: first-order propagation of independent errors.

    >>> found = extraction_with_error(Measured(0.0144, 0.0003), Measured(208.5, 2), Measured(15, 0.1))
    >>> (round(found.value, 3), round(found.sd, 3))
    (0.2, 0.005)
    """
    for name, part in (("strength", strength), ("beverage_g", beverage_g), ("dose_g", dose_g)):
        check_range(f"{name}.sd", part.sd, low=0, reason="a standard deviation cannot be negative")
    value = percolation_extraction(strength.value, beverage_g.value, dose_g.value)
    by_strength = beverage_g.value / dose_g.value * strength.sd
    by_beverage = strength.value / dose_g.value * beverage_g.sd
    by_dose = value / dose_g.value * dose_g.sd
    return Measured(value, math.hypot(by_strength, by_beverage, by_dose))


def _strength(strength: float, name: str = "strength") -> None:
    check_range(name, strength, low=0, high=0.3, reason=_FRACTION)


def _extraction(extraction: float) -> None:
    check_range("extraction", extraction, low=0, high=MOST_EXTRACTION, reason="no more of roasted coffee dissolves")


def _kept(ratio: float, kept: float) -> None:
    check_range("kept_g_g", kept, low=0, high=6, reason="wet grounds keep one to three times their dose")
    check_range("ratio", ratio, above=kept, reason="the grounds would keep all the water")
