"""Water as the bed meets it: density, viscosity and heat capacity of the liquid, and the pressure it boils under.

Closed formulas of the liquid at about one atmosphere. Coffee is taken as water: at cup strength it is 1 to 2 %
denser and thicker, which the fitted permeability absorbs.
"""

from __future__ import annotations

import math

from .validity import check_range

_LIQUID = "formulas of liquid water at one atmosphere"


def density_kg_m3(temp_c: float) -> float:
    """Give the density of water.

    Args:
        temp_c: temperature in degrees C.

    Returns:
        Density in kg/m3; within 0.002 % of IAPWS-97.

    Raises:
        OutOfRange: outside the valid range.

    Valid range: 0 to 100 degrees C.
    Source: kell-1975.

    >>> round(density_kg_m3(93), 2)
    963.28
    """
    t = check_range("temp_c", temp_c, low=0, high=100, reason=_LIQUID)
    above = 999.83952 + t * (
        16.945176 + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12)))
    )
    return above / (1 + 16.879850e-3 * t)


def viscosity_pa_s(temp_c: float) -> float:
    """Give the viscosity of water.

    Args:
        temp_c: temperature in degrees C.

    Returns:
        Dynamic viscosity in Pa s; within 0.01 % of IAPWS-97.

    Raises:
        OutOfRange: outside the valid range.

    Valid range: 0 to 100 degrees C.
    Source: patek-2009.

    >>> round(viscosity_pa_s(93) * 1000, 4)
    0.3037
    """
    x = (check_range("temp_c", temp_c, low=0, high=100, reason=_LIQUID) + 273.15) / 300.0
    return 1e-6 * float(280.68 * x**-1.9 + 511.45 * x**-7.7 + 61.131 * x**-19.6 + 0.45903 * x**-40)


def heat_capacity_j_kg_k(temp_c: float) -> float:
    """Give the specific heat capacity of water.

    Args:
        temp_c: temperature in degrees C.

    Returns:
        Specific heat capacity in J/kg/K; within 0.1 % of IAPWS-97.

    Raises:
        OutOfRange: outside the valid range.

    Valid range: 0 to 100 degrees C.
    Source: osborne-1939.

    >>> round(heat_capacity_j_kg_k(93))
    4208
    """
    t = check_range("temp_c", temp_c, low=0, high=100, reason=_LIQUID)
    return 4185.5 * float(0.996185 + 0.0002874 * ((t + 100) / 100) ** 5.26 + 0.011160 * 10 ** (-0.036 * t))


def boiling_c(pressure_pa: float) -> float:
    """Give the temperature at which water boils.

    Args:
        pressure_pa: pressure of the air in Pa.

    Returns:
        Saturation temperature in degrees C.

    Raises:
        OutOfRange: outside the valid range.

    Valid range: 10,000 to 200,000 Pa.
    Source: iapws-97 (region 4, backward equation).

    >>> round(boiling_c(101325), 3)
    99.974
    """
    pressure = check_range("pressure_pa", pressure_pa, low=1e4, high=2e5, reason="air people brew in")
    beta = math.sqrt(math.sqrt(pressure / 1e6))
    square = beta * beta
    e = square - 0.17073846940092e2 * beta + 0.14915108613530e2
    f = 0.11670521452767e4 * square + 0.12020824702470e5 * beta - 0.48232657361591e4
    g = -0.72421316703206e6 * square - 0.32325550322333e7 * beta + 0.40511340542057e6
    d = 2 * g / (-f - math.sqrt(f * f - 4 * e * g))
    total = 0.65017534844798e3 + d
    return (total - math.sqrt(total * total - 4 * (-0.23855557567849 + 0.65017534844798e3 * d))) / 2 - 273.15
