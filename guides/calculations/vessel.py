"""Brewers as vessels: how level and volume belong together, and what fits."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from .validity import OutOfRange, check_range
from .water_properties import density_kg_m3


class Flow(StrEnum):
    """How liquid leaves a brewer."""

    OPEN = "open"  # through paper, always
    VALVE = "valve"  # through paper, while a valve is open
    CLOSED = "closed"  # not at all until it is decanted: full immersion


@dataclass(frozen=True)
class Cone:
    """A cone standing on its tip. ``half_angle_deg`` between wall and axis; the tip is cut off at the outlet."""

    half_angle_deg: float
    outlet_radius_mm: float


@dataclass(frozen=True)
class Cylinder:
    """A straight-walled vessel or basket."""

    radius_mm: float


@dataclass(frozen=True)
class LevelTable:
    """A vessel known by weighings: rising levels above the outlet in mm, and the volume below each in mL."""

    levels_mm: tuple[float, ...]
    volumes_ml: tuple[float, ...]


Shape = Cone | Cylinder | LevelTable


@dataclass(frozen=True)
class Brewer:
    """A vessel with its usable volume (mL to the line, paper in place), heat capacity (J/K) and way out."""

    shape: Shape
    usable_ml: float
    heat_j_per_k: float
    flow: Flow


def check_shape(shape: Shape) -> Shape:
    """Return a shape if it can be built.

    Args:
        shape: cone, cylinder or level table.

    Returns:
        The same shape.

    Raises:
        OutOfRange: an angle or radius outside its range, or a table that does not rise from an empty vessel.

    Valid range: half angle 5 to 80 degrees; outlet radius 0 to 50 mm; radius 5 to 500 mm; tables of 2 points and up.
    Source: own default.

    >>> check_shape(Cylinder(40))
    Cylinder(radius_mm=40)
    """
    match shape:
        case Cone(half_angle_deg, outlet_radius_mm):
            check_range("half_angle_deg", half_angle_deg, low=5, high=80, reason="between wall and axis of a cone")
            check_range("outlet_radius_mm", outlet_radius_mm, low=0, high=50, reason="the cut-off tip of a cone")
        case Cylinder(radius_mm):
            check_range("radius_mm", radius_mm, low=5, high=500, reason="a vessel for coffee")
        case LevelTable(levels_mm, volumes_ml):
            if len(levels_mm) != len(volumes_ml) or len(levels_mm) < 2:
                raise OutOfRange(
                    "levels_mm", len(levels_mm), low=2, high=None, reason="each level needs its volume, two at least"
                )
            for name, numbers in (("levels_mm", levels_mm), ("volumes_ml", volumes_ml)):
                check_range(name, numbers[0], low=0, high=0, reason="a level table begins empty, at 0")
                for lower, higher in pairwise(numbers):
                    check_range(name, higher, above=lower, high=1e5, reason="levels and volumes rise together")
    return shape


def volume_ml(shape: Shape, level_mm: float) -> float:
    """Give the volume below a level.

    Args:
        shape: cone, cylinder or level table.
        level_mm: height above the outlet in mm.

    Returns:
        Volume in mL.

    Raises:
        OutOfRange: a negative level, an impossible shape, or a level above a table's last point.

    Valid range: level 0 and up; within the points of a table.
    Source: geometry.

    >>> round(volume_ml(Cone(30, 0), 90), 1)
    254.5
    """
    check_shape(shape)
    check_range("level_mm", level_mm, low=0, high=1e4, reason="a level stands above the outlet")
    match shape:
        case Cone(half_angle_deg, outlet_radius_mm):
            slope = math.tan(math.radians(half_angle_deg))
            tip = outlet_radius_mm / slope
            return math.pi * slope**2 / 3 * ((level_mm + tip) ** 3 - tip**3) / 1000
        case Cylinder(radius_mm):
            return math.pi * radius_mm**2 * level_mm / 1000
        case LevelTable(levels_mm, volumes_ml):
            check_range("level_mm", level_mm, high=levels_mm[-1], reason="above the last point of the level table")
            return _on_line(level_mm, levels_mm, volumes_ml)


def level_mm(shape: Shape, volume_ml: float) -> float:
    """Give the level a volume reaches.

    Args:
        shape: cone, cylinder or level table.
        volume_ml: volume in mL.

    Returns:
        Height above the outlet in mm.

    Raises:
        OutOfRange: a negative volume, an impossible shape, or more than a table's last point.

    Valid range: volume 0 to 100 L; within the points of a table.
    Source: geometry.

    >>> round(level_mm(Cone(30, 0), 254.469), 2)
    90.0
    """
    check_shape(shape)
    check_range("volume_ml", volume_ml, low=0, high=1e5, reason="a volume cannot be negative")
    if isinstance(shape, LevelTable):
        check_range("volume_ml", volume_ml, high=shape.volumes_ml[-1], reason="above the last point of the level table")
    return max(gauge(shape)(volume_ml), 0.0)


def gauge(shape: Shape) -> Callable[[float], float]:
    """Prepare ``level_mm`` for many readings of one vessel; past a table's last point its last slope goes on.

    Args:
        shape: cone, cylinder or level table.

    Returns:
        A function of the volume in mL, giving the height above the outlet in mm.

    Raises:
        OutOfRange: an impossible shape.

    Valid range: volumes 0 and up, not checked again.
    Source: geometry.

    >>> round(gauge(Cone(30, 0))(254.469), 2)
    90.0
    """
    match check_shape(shape):
        case Cone(half_angle_deg, outlet_radius_mm):
            slope = math.tan(math.radians(half_angle_deg))
            tip, per_ml, cbrt = outlet_radius_mm / slope, 3000 / (math.pi * slope**2), math.cbrt
            tip_cubed = tip**3
            return lambda volume: cbrt(per_ml * volume + tip_cubed) - tip
        case Cylinder(radius_mm):
            mm_per_ml = 1000 / (math.pi * radius_mm**2)
            return lambda volume: mm_per_ml * volume
        case LevelTable(levels_mm, volumes_ml):
            return lambda volume: _on_line(volume, volumes_ml, levels_mm)


def _on_line(value: float, known: tuple[float, ...], wanted: tuple[float, ...]) -> float:
    right = min(bisect_right(known, value), len(known) - 1)
    left = right - 1
    share = (value - known[left]) / (known[right] - known[left])
    return wanted[left] + share * (wanted[right] - wanted[left])


def usable_from_weighing_ml(water_g: float, water_c: float = 20.0) -> float:
    """Give a brewer's usable volume from the cold water it holds up to the line, paper in place: weigh it full once.

    Args:
        water_g: water it holds in g.
        water_c: temperature of that water in degrees C.

    Returns:
        Usable volume in mL.

    Raises:
        OutOfRange: no water, or water that is not cold.

    Valid range: 1 g to 5 kg, 0 to 40 degrees C.
    Source: iapws-97 (density).

    >>> round(usable_from_weighing_ml(239.6), 1)
    240.0
    """
    check_range("water_g", water_g, low=1, high=5000, reason="what a brewer holds")
    check_range("water_c", water_c, low=0, high=40, reason="weigh with cold water: hot water is lighter")
    return water_g / density_kg_m3(water_c) * 1000


def estimated_cone_ml(height_mm: float) -> float:
    """Estimate the volume of an unmeasured 60-degree cone; a weighing is better.

    Args:
        height_mm: from its tip to the usable line in mm.

    Returns:
        Volume in mL, an estimate.

    Raises:
        OutOfRange: outside the valid range.

    Valid range: 10 to 300 mm.
    Source: geometry, tip and paper neglected.

    >>> round(estimated_cone_ml(90))
    254
    """
    return volume_ml(Cone(30.0, 0.0), check_range("height_mm", height_mm, low=10, high=300, reason="a cone for coffee"))
