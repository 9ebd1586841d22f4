"""Conversions at the edge: everything inside the room is grams, millilitres, millimetres, seconds and degrees Celsius.

Factors are exact by definition (NIST SP 811, appendix B).
"""

from __future__ import annotations

from .constants import (
    FAHRENHEIT_ZERO,
    GRAMS_PER_OUNCE,
    METRES_PER_FOOT,
    ML_PER_IMP_FLUID_OUNCE,
    ML_PER_US_FLUID_OUNCE,
)
from .validity import check_range

_FINITE = "a quantity must be a finite number"
_ABSOLUTE_ZERO_C = -273.15
FAHRENHEIT_PER_KELVIN = 1.8


def grams_from_ounces(mass_oz: float) -> float:
    """Turn avoirdupois ounces into grams.

    Args:
        mass_oz: mass in avoirdupois ounces.

    Returns:
        Mass in grams.

    Raises:
        OutOfRange: not a finite number of 0 or more.

    Valid range: 0 and up.
    Source: nist-sp811.

    >>> grams_from_ounces(1)
    28.349523125
    """
    return check_range("mass_oz", mass_oz, low=0, reason=_FINITE) * GRAMS_PER_OUNCE.value


def ounces_from_grams(mass_g: float) -> float:
    """Turn grams into avoirdupois ounces.

    Args:
        mass_g: mass in grams.

    Returns:
        Mass in avoirdupois ounces.

    Raises:
        OutOfRange: not a finite number of 0 or more.

    Valid range: 0 and up.
    Source: nist-sp811.

    >>> ounces_from_grams(28.349523125)
    1.0
    """
    return check_range("mass_g", mass_g, low=0, reason=_FINITE) / GRAMS_PER_OUNCE.value


def ml_from_us_fluid_ounces(volume_us_fl_oz: float) -> float:
    """Turn US fluid ounces into millilitres.

    Args:
        volume_us_fl_oz: volume in US fluid ounces.

    Returns:
        Volume in millilitres.

    Raises:
        OutOfRange: not a finite number of 0 or more.

    Valid range: 0 and up.
    Source: nist-sp811.

    >>> ml_from_us_fluid_ounces(1)
    29.5735295625
    """
    return check_range("volume_us_fl_oz", volume_us_fl_oz, low=0, reason=_FINITE) * ML_PER_US_FLUID_OUNCE.value


def us_fluid_ounces_from_ml(volume_ml: float) -> float:
    """Turn millilitres into US fluid ounces.

    Args:
        volume_ml: volume in millilitres.

    Returns:
        Volume in US fluid ounces.

    Raises:
        OutOfRange: not a finite number of 0 or more.

    Valid range: 0 and up.
    Source: nist-sp811.

    >>> us_fluid_ounces_from_ml(29.5735295625)
    1.0
    """
    return check_range("volume_ml", volume_ml, low=0, reason=_FINITE) / ML_PER_US_FLUID_OUNCE.value


def ml_from_imp_fluid_ounces(volume_imp_fl_oz: float) -> float:
    """Turn imperial fluid ounces into millilitres.

    Args:
        volume_imp_fl_oz: volume in imperial fluid ounces.

    Returns:
        Volume in millilitres.

    Raises:
        OutOfRange: not a finite number of 0 or more.

    Valid range: 0 and up.
    Source: nist-sp811.

    >>> ml_from_imp_fluid_ounces(1)
    28.4130625
    """
    return check_range("volume_imp_fl_oz", volume_imp_fl_oz, low=0, reason=_FINITE) * ML_PER_IMP_FLUID_OUNCE.value


def imp_fluid_ounces_from_ml(volume_ml: float) -> float:
    """Turn millilitres into imperial fluid ounces.

    Args:
        volume_ml: volume in millilitres.

    Returns:
        Volume in imperial fluid ounces.

    Raises:
        OutOfRange: not a finite number of 0 or more.

    Valid range: 0 and up.
    Source: nist-sp811.

    >>> imp_fluid_ounces_from_ml(28.4130625)
    1.0
    """
    return check_range("volume_ml", volume_ml, low=0, reason=_FINITE) / ML_PER_IMP_FLUID_OUNCE.value


def metres_from_feet(altitude_ft: float) -> float:
    """Turn feet above the sea into metres.

    Args:
        altitude_ft: altitude in international feet; negative below the sea.

    Returns:
        Altitude in metres.

    Raises:
        OutOfRange: not a finite number.

    Valid range: every finite number.
    Source: nist-sp811.

    >>> metres_from_feet(1000)
    304.8
    """
    return check_range("altitude_ft", altitude_ft, reason=_FINITE) * METRES_PER_FOOT.value


def feet_from_metres(altitude_m: float) -> float:
    """Turn metres above the sea into feet.

    Args:
        altitude_m: altitude in metres; negative below the sea.

    Returns:
        Altitude in international feet.

    Raises:
        OutOfRange: not a finite number.

    Valid range: every finite number.
    Source: nist-sp811.

    >>> feet_from_metres(304.8)
    1000.0
    """
    return check_range("altitude_m", altitude_m, reason=_FINITE) / METRES_PER_FOOT.value


def celsius_from_fahrenheit(temp_f: float) -> float:
    """Turn degrees Fahrenheit into degrees Celsius.

    Args:
        temp_f: temperature in degrees Fahrenheit.

    Returns:
        Temperature in degrees Celsius.

    Raises:
        OutOfRange: not finite, or below absolute zero.

    Valid range: -459.67 degrees F and up.
    Source: nist-sp811.

    >>> celsius_from_fahrenheit(212)
    100.0
    """
    low = fahrenheit_from_celsius(_ABSOLUTE_ZERO_C)
    return (
        check_range("temp_f", temp_f, low=low, reason="below absolute zero") - FAHRENHEIT_ZERO.value
    ) / FAHRENHEIT_PER_KELVIN


def fahrenheit_from_celsius(temp_c: float) -> float:
    """Turn degrees Celsius into degrees Fahrenheit.

    Args:
        temp_c: temperature in degrees Celsius.

    Returns:
        Temperature in degrees Fahrenheit.

    Raises:
        OutOfRange: not finite, or below absolute zero.

    Valid range: -273.15 degrees C and up.
    Source: nist-sp811.

    >>> fahrenheit_from_celsius(100)
    212.0
    """
    return (
        check_range("temp_c", temp_c, low=_ABSOLUTE_ZERO_C, reason="below absolute zero") * FAHRENHEIT_PER_KELVIN
        + FAHRENHEIT_ZERO.value
    )
