"""Heat: what the kettle must read, how hot the bed will really be, where water boils, what ice does.

"Temperature" is never one number: a kettle reading, the slurry at a stated moment and the cup differ by many degrees.
"""

from __future__ import annotations

import math
from typing import Final

from .constants import (
    BELOW_BOILING_C,
    COFFEE_HEAT_J_G_K,
    ICE_HEAT_J_G_K,
    ICE_MELTING_J_G,
    KETTLE_COOLING_S,
    STANDARD_PRESSURE_PA,
    STREAM_LOSS_HIGH_C,
    STREAM_LOSS_LOW_C,
    STREAM_LOSS_MEDIUM_C,
    WATER_HEAT_J_G_K,
)
from .plan import Height
from .validity import check_range
from .water_properties import boiling_c

_EARTH_RADIUS_M: Final = 6_356_766.0
_LAPSE_K_PER_M: Final = 0.0065
_SEA_LEVEL_K: Final = 288.15
_PRESSURE_EXPONENT: Final = 5.255876
_LIQUID = "liquid water"
_GRAMS = "a mass is finite and not negative"


def air_pressure_pa(altitude_m: float) -> float:
    """Give the pressure of the standard atmosphere.

    Args:
        altitude_m: height above the sea in m.

    Returns:
        Air pressure in Pa. The weather moves it by about 3 %, boiling by 0.8 K.

    Raises:
        OutOfRange: outside the valid range.

    Valid range: -500 to 6,000 m, all the places people live and brew in.
    Source: us-atmosphere-1976.

    >>> round(air_pressure_pa(1500))
    84560
    """
    height = check_range("altitude_m", altitude_m, low=-500, high=6000, reason="where people live and brew")
    geopotential = _EARTH_RADIUS_M * height / (_EARTH_RADIUS_M + height)
    share = 1 - _LAPSE_K_PER_M * geopotential / _SEA_LEVEL_K
    return STANDARD_PRESSURE_PA.value * math.pow(share, _PRESSURE_EXPONENT)


def boiling_point_c(altitude_m: float) -> float:
    """Give the temperature at which water boils at an altitude, in standard air.

    Args:
        altitude_m: height above the sea in m.

    Returns:
        Boiling point in degrees C.

    Raises:
        OutOfRange: outside the valid range.

    Valid range: -500 to 6,000 m.
    Source: us-atmosphere-1976, iapws-97.

    >>> [round(boiling_point_c(height), 2) for height in (0, 1500, 3000)]
    [99.97, 94.98, 89.98]
    """
    return boiling_c(air_pressure_pa(altitude_m))


def kettle_cap_c(altitude_m: float) -> float:
    """Give the hottest kettle reading a guide may ask for: water off the boil.

    Args:
        altitude_m: height above the sea in m.

    Returns:
        Degrees C, 1 below the boiling point.

    Raises:
        OutOfRange: outside the valid range.

    Valid range: -500 to 6,000 m.
    Source: common practice, no source.

    >>> round(kettle_cap_c(1480), 1)
    94.1
    """
    return boiling_point_c(altitude_m) - BELOW_BOILING_C.value


def stream_loss_c(height: Height | None) -> float:
    """Give what the water loses between kettle and bed.

    Args:
        height: how high the kettle is held; ``None`` counts as low.

    Returns:
        Kelvin lost.

    Valid range: any height.
    Source: own default.

    >>> stream_loss_c(Height.HIGH)
    3.0
    """
    losses = {Height.MEDIUM: STREAM_LOSS_MEDIUM_C, Height.HIGH: STREAM_LOSS_HIGH_C}
    return losses.get(height, STREAM_LOSS_LOW_C).value if height else STREAM_LOSS_LOW_C.value


def kettle_c_after(kettle_c: float, time_s: float, room_c: float = 20.0) -> float:
    """Give the kettle's temperature after standing, off the heat (Newton's law of cooling).

    Args:
        kettle_c: reading at the start in degrees C.
        time_s: seconds since.
        room_c: temperature of the room in degrees C.

    Returns:
        Degrees C.

    Raises:
        OutOfRange: outside the valid range.

    Valid range: water 0 to 100 degrees C, time 0 and up.
    Source: own default (time constant).

    >>> round(94 - kettle_c_after(94, 60), 2)
    1.03
    """
    check_range("kettle_c", kettle_c, low=0, high=100, reason=_LIQUID)
    check_range("room_c", room_c, low=-30, high=60, reason="a room people brew in")
    check_range("time_s", time_s, low=0, reason="time runs forward")
    return room_c + (kettle_c - room_c) * math.exp(-time_s / KETTLE_COOLING_S.value)


def mixing_c(
    coffee_g: float, coffee_c: float, water_g: float, water_c: float, water_heat_j_g_k: float = WATER_HEAT_J_G_K.value
) -> float:
    """Give the temperature of water and coffee stirred together: an upper bound, since brewer and air cool it too.

    Args:
        coffee_g: dry coffee in g.
        coffee_c: its temperature in degrees C.
        water_g: water in g.
        water_c: its temperature in degrees C.
        water_heat_j_g_k: specific heat capacity of the water in J/g/K.

    Returns:
        Temperature of the mix in degrees C.

    Raises:
        OutOfRange: outside the valid range.

    Valid range: masses 0 and up, not both 0; coffee -30 to 60, water 0 to 100 degrees C.
    Source: energy balance; heat of coffee own default.

    >>> round(mixing_c(15, 20, 250, 93, 4.2083), 3)
    91.471
    """
    check_range("coffee_g", coffee_g, low=0, reason=_GRAMS)
    check_range("coffee_c", coffee_c, low=-30, high=60, reason="coffee as kept")
    check_range("water_g", water_g, low=0, reason=_GRAMS)
    check_range("water_c", water_c, low=0, high=100, reason=_LIQUID)
    check_range("water_heat_j_g_k", water_heat_j_g_k, low=4.0, high=4.4, reason=_LIQUID)
    coffee, water = COFFEE_HEAT_J_G_K.value * coffee_g, water_heat_j_g_k * water_g
    total = check_range("water_g", coffee + water, above=0, reason="nothing has no temperature")
    return (coffee * coffee_c + water * water_c) / total


def kettle_set_point_c(
    slurry_c: float,
    water_g: float,
    dose_g: float,
    brewer_heat_j_k: float,
    *,
    coffee_c: float = 20.0,
    brewer_c: float = 65.0,
    height: Height | None = None,
) -> float:
    """Give the kettle reading that makes the slurry reach a temperature once a stated mass of water is in.

    Args:
        slurry_c: wanted slurry temperature in degrees C, at that moment.
        water_g: water poured by that moment in g.
        dose_g: dry coffee in g.
        brewer_heat_j_k: heat capacity of the brewer in J/K.
        coffee_c: temperature of the coffee in degrees C.
        brewer_c: temperature of the brewer after rinsing in degrees C.
        height: how high the kettle is held.

    Returns:
        Degrees C; may lie above what water can reach: compare with ``kettle_cap_c``.

    Raises:
        OutOfRange: outside the valid range.

    Valid range: slurry 0 to 100, brewer 0 to 100, coffee -30 to 60 degrees C; water above 0.
    Source: energy balance; heat capacities and stream losses own defaults.

    >>> round(kettle_set_point_c(89, 180, 15, 35), 1)
    93.2
    """
    check_range("slurry_c", slurry_c, low=0, high=100, reason=_LIQUID)
    check_range("water_g", water_g, above=0, reason="no water, no slurry")
    check_range("dose_g", dose_g, low=0, reason=_GRAMS)
    check_range("brewer_heat_j_k", brewer_heat_j_k, low=0, reason="heat capacities are not negative")
    check_range("coffee_c", coffee_c, low=-30, high=60, reason="coffee as kept")
    check_range("brewer_c", brewer_c, low=0, high=100, reason="a brewer rinsed with water")
    taken = COFFEE_HEAT_J_G_K.value * dose_g * (slurry_c - coffee_c) + brewer_heat_j_k * (slurry_c - brewer_c)
    return slurry_c + taken / (WATER_HEAT_J_G_K.value * water_g) + stream_loss_c(height)


def ice_balance(coffee_g: float, coffee_c: float, ice_g: float, ice_c: float = -18.0) -> float:
    """Give the temperature of hot coffee and ice once all of the ice has melted.

    Args:
        coffee_g: hot coffee in g.
        coffee_c: its temperature in degrees C.
        ice_g: ice in g.
        ice_c: its temperature in degrees C.

    Returns:
        Degrees C; below 0 means that ice is left over and the drink stands near 0.

    Raises:
        OutOfRange: outside the valid range.

    Valid range: masses 0 and up, not both 0; coffee 0 to 100, ice -40 to 0 degrees C.
    Source: energy balance; heat of ice and of melting from memory.

    >>> round(ice_balance(148, 75, 110), 1)
    5.3
    """
    check_range("coffee_g", coffee_g, low=0, reason=_GRAMS)
    check_range("coffee_c", coffee_c, low=0, high=100, reason=_LIQUID)
    check_range("ice_g", ice_g, low=0, reason=_GRAMS)
    check_range("ice_c", ice_c, low=-40, high=0, reason="ice from a freezer")
    total = check_range("ice_g", coffee_g + ice_g, above=0, reason="nothing has no temperature")
    cold = ice_g * (ICE_MELTING_J_G.value + ICE_HEAT_J_G_K.value * abs(ice_c))
    return (WATER_HEAT_J_G_K.value * coffee_g * coffee_c - cold) / (WATER_HEAT_J_G_K.value * total)
