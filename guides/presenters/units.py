"""The units a reader wants to read, and types in. Everything behind them is in g, mL, m and degrees C."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final


class Mass(StrEnum):
    GRAM = "g"
    OUNCE = "oz"


class Temperature(StrEnum):
    CELSIUS = "c"
    FAHRENHEIT = "f"


class Volume(StrEnum):
    MILLILITRE = "ml"
    US_OUNCE = "us"
    IMPERIAL_OUNCE = "imp"


class Altitude(StrEnum):
    METRE = "m"
    FOOT = "ft"


@dataclass(frozen=True)
class Units:
    """One reader's units."""

    mass: Mass = Mass.GRAM
    temperature: Temperature = Temperature.CELSIUS
    volume: Volume = Volume.MILLILITRE
    altitude: Altitude = Altitude.METRE


METRIC: Final = Units()
