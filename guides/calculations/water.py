"""Brewing water: hardness and alkalinity in every unit, salts, the trade's target, blends.

Inside, hardness and alkalinity are mg/L as CaCO3.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from .constants import (
    CACL2_HARDNESS,
    CACO3_MOLAR_G,
    DEGREE_CLARK,
    DEGREE_FRENCH,
    DEGREE_GERMAN,
    GRAIN_PER_US_GALLON,
    KHCO3_ALKALINITY,
    MGSO4_HARDNESS,
    NAHCO3_ALKALINITY,
    NAHCO3_SODIUM,
    Constant,
)
from .validity import check_range

_MG = "a concentration cannot be negative; above 5000 mg/L it is not drinking water"


class Unit(StrEnum):
    """How hardness or alkalinity is printed on a report."""

    MG_L = "mg_l"  # mg/L as CaCO3, also called ppm
    MMOL_L = "mmol_l"
    GERMAN = "german"
    FRENCH = "french"
    CLARK = "clark"
    GRAIN = "grain"


MG_L_PER_UNIT: Final[dict[Unit, float]] = {
    Unit.MG_L: 1.0,
    Unit.MMOL_L: CACO3_MOLAR_G.value,
    Unit.GERMAN: DEGREE_GERMAN.value,
    Unit.FRENCH: DEGREE_FRENCH.value,
    Unit.CLARK: DEGREE_CLARK.value,
    Unit.GRAIN: GRAIN_PER_US_GALLON.value,
}


class Salt(StrEnum):
    """Salts people add to soft water."""

    MAGNESIUM_SULFATE = "MgSO4.7H2O"
    CALCIUM_CHLORIDE = "CaCl2.2H2O"
    SODIUM_BICARBONATE = "NaHCO3"
    POTASSIUM_BICARBONATE = "KHCO3"


HARDNESS_PER_MG: Final[dict[Salt, Constant]] = {
    Salt.MAGNESIUM_SULFATE: MGSO4_HARDNESS,
    Salt.CALCIUM_CHLORIDE: CACL2_HARDNESS,
}
ALKALINITY_PER_MG: Final[dict[Salt, Constant]] = {
    Salt.SODIUM_BICARBONATE: NAHCO3_ALKALINITY,
    Salt.POTASSIUM_BICARBONATE: KHCO3_ALKALINITY,
}


@dataclass(frozen=True)
class Water:
    """A water as far as brewing asks: hardness and alkalinity in mg/L as CaCO3, sodium in mg/L."""

    hardness_mg_l: float
    alkalinity_mg_l: float
    sodium_mg_l: float = 0.0


@dataclass(frozen=True)
class Range:
    """Target and limits of one property of brewing water."""

    target: float
    low: float
    high: float
    unit: str


TARGET: Final[dict[str, Range]] = {
    "dissolved_solids": Range(150, 75, 250, "mg/L"),
    "calcium_hardness": Range(68, 17, 85, "mg/L CaCO3"),
    "alkalinity": Range(40, 40, 40, "mg/L CaCO3"),
    "ph": Range(7.0, 6.5, 7.5, "pH"),
    "sodium": Range(10, 0, 10, "mg/L"),
}
"""Source: scaa-water. Alkalinity has a target and no printed limits."""


def to_mg_l(value: float, unit: Unit) -> float:
    """Turn a hardness or alkalinity as printed into mg/L as CaCO3.

    Args:
        value: as printed, in ``unit``.
        unit: of the report.

    Returns:
        mg/L as CaCO3.

    Raises:
        OutOfRange: negative, not finite, or more than 5000 mg/L.

    Valid range: 0 to 5000 mg/L.
    Source: iupac-2021 (calcium carbonate and oxide), nist-sp811 (grain, gallons).

    >>> round(to_mg_l(10, Unit.GERMAN), 2)
    178.48
    """
    return check_range("value", value * MG_L_PER_UNIT[unit], low=0, high=5000, reason=_MG)


def from_mg_l(value_mg_l: float, unit: Unit) -> float:
    """Turn mg/L as CaCO3 into the unit of a report.

    Args:
        value_mg_l: hardness or alkalinity in mg/L as CaCO3.
        unit: wanted.

    Returns:
        The value in that unit.

    Raises:
        OutOfRange: negative, not finite, or more than 5000 mg/L.

    Valid range: 0 to 5000 mg/L.
    Source: iupac-2021, nist-sp811.

    >>> from_mg_l(100, Unit.FRENCH)
    10.0
    """
    return check_range("value_mg_l", value_mg_l, low=0, high=5000, reason=_MG) / MG_L_PER_UNIT[unit]


def salt_for_mg_l(salt: Salt, wanted_mg_l: float) -> float:
    """Give the salt that brings pure water to a hardness (magnesium, calcium) or alkalinity (bicarbonates).

    Args:
        salt: the salt, with its crystal water.
        wanted_mg_l: hardness or alkalinity in mg/L as CaCO3.

    Returns:
        Salt in mg per litre.

    Raises:
        OutOfRange: negative, not finite, or more than 5000 mg/L.

    Valid range: 0 to 5000 mg/L.
    Source: iupac-2021.

    >>> round(salt_for_mg_l(Salt.SODIUM_BICARBONATE, 40), 2)
    67.15
    """
    check_range("wanted_mg_l", wanted_mg_l, low=0, high=5000, reason=_MG)
    per_mg = HARDNESS_PER_MG.get(salt) or ALKALINITY_PER_MG[salt]
    return wanted_mg_l / per_mg.value


def mixed_from_salts(salts_mg_l: Mapping[Salt, float]) -> Water:
    """Give the water made by dissolving salts in pure water.

    Args:
        salts_mg_l: each salt in mg per litre.

    Returns:
        Hardness and alkalinity in mg/L as CaCO3, sodium in mg/L.

    Raises:
        OutOfRange: a negative amount, or more than 5000 mg/L.

    Valid range: 0 to 5000 mg/L of each.
    Source: iupac-2021.

    >>> water = mixed_from_salts({Salt.SODIUM_BICARBONATE: 67.15})
    >>> round(water.alkalinity_mg_l, 1), round(water.sodium_mg_l, 1)
    (40.0, 18.4)
    """
    hardness = alkalinity = sodium = 0.0
    for salt, amount in salts_mg_l.items():
        check_range(f"salts_mg_l[{salt}]", amount, low=0, high=5000, reason=_MG)
        hardness += amount * HARDNESS_PER_MG[salt].value if salt in HARDNESS_PER_MG else 0.0
        alkalinity += amount * ALKALINITY_PER_MG[salt].value if salt in ALKALINITY_PER_MG else 0.0
        sodium += amount * NAHCO3_SODIUM.value if salt is Salt.SODIUM_BICARBONATE else 0.0
    return Water(hardness, alkalinity, sodium)


def beyond_target(water: Water) -> tuple[str, ...]:
    """Name the properties of a water that lie outside the trade's target, or 25 % and more away from a bare one.

    Args:
        water: hardness taken as calcium hardness.

    Returns:
        Keys of ``TARGET``.

    Source: scaa-water; the 25 % is an own default.

    >>> beyond_target(Water(68, 40, 18.4))
    ('sodium',)
    """
    asked = {
        "calcium_hardness": water.hardness_mg_l,
        "alkalinity": water.alkalinity_mg_l,
        "sodium": water.sodium_mg_l,
    }
    out = []
    for name, value in asked.items():
        wanted = TARGET[name]
        spare = 0.25 * wanted.target if wanted.low == wanted.high else 0.0
        if not wanted.low - spare <= value <= wanted.high + spare:
            out.append(name)
    return tuple(out)


def tap_share(tap_mg_l: float, soft_mg_l: float, wanted_mg_l: float) -> float:
    """Give the share of tap water in a blend with soft water that reaches an alkalinity.

    Args:
        tap_mg_l: alkalinity of the tap water in mg/L as CaCO3.
        soft_mg_l: alkalinity of the soft water in mg/L as CaCO3.
        wanted_mg_l: alkalinity wanted in mg/L as CaCO3.

    Returns:
        Share of tap water, 0 to 1.

    Raises:
        OutOfRange: tap no harder than the soft water, or a wish that no blend of the two reaches.

    Valid range: soft below tap; wanted between the two.
    Source: mass balance.

    >>> round(tap_share(190, 2, 50), 3)
    0.255
    """
    check_range("soft_mg_l", soft_mg_l, low=0, high=5000, reason=_MG)
    check_range("tap_mg_l", tap_mg_l, above=soft_mg_l, high=5000, reason="only harder tap water needs blending")
    check_range("wanted_mg_l", wanted_mg_l, low=soft_mg_l, high=tap_mg_l, reason="a blend lies between its two waters")
    return (wanted_mg_l - soft_mg_l) / (tap_mg_l - soft_mg_l)
