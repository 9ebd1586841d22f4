"""The bed of wet grounds and the paper under it, as a resistance to flow (Darcy, Kozeny-Carman)."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from .constants import BED_POROSITY, FINES_SHARE, FINES_UM, PAPER_PER_M, PERMEABILITY_SCALE, WET_BED_ML_PER_G
from .validity import check_range
from .vessel import Cone, Cylinder, LevelTable, Shape, check_shape, level_mm

_LEANS: Final = 0.1
"""A wall that widens by less than this, per height, stands upright."""


@dataclass(frozen=True)
class Fit:
    """The only two fitted numbers: a scale on Kozeny-Carman (k_ref), and the paper's resistance (R_m, 1/m)."""

    permeability_scale: float = PERMEABILITY_SCALE.value
    paper_per_m: float = PAPER_PER_M.value


@dataclass(frozen=True)
class BedShape:
    """A bed in its vessel: depth, conductance factor (area over length, in m) and area of the paper it lies on."""

    depth_m: float
    factor_m: float
    paper_m2: float


def sauter_um(grind_um: float) -> float:
    """Give the Sauter mean diameter of a grind: its median and a fixed share of fines.

    Args:
        grind_um: median particle size in um.

    Returns:
        Sauter mean diameter in um, what the flow feels.

    Raises:
        OutOfRange: outside the valid range.

    Valid range: 100 to 2500 um.
    Source: mo-2023 (share of fines).

    >>> round(sauter_um(673), 1)
    213.4
    """
    median = check_range("grind_um", grind_um, low=100, high=2500, reason="drip and immersion grinds")
    return 1 / (FINES_SHARE.value / FINES_UM.value + (1 - FINES_SHARE.value) / median)


def permeability_m2(diameter_um: float, porosity: float = BED_POROSITY.value) -> float:
    """Give the permeability of a packed bed of spheres (Kozeny-Carman).

    Args:
        diameter_um: Sauter mean diameter in um.
        porosity: share of the bed that is pores.

    Returns:
        Permeability in m2.

    Raises:
        OutOfRange: outside the valid range.

    Valid range: diameter 1 to 5000 um, porosity 0.2 to 0.8, creeping flow.
    Source: carman-1937.

    >>> f"{permeability_m2(300):.4e}"
    '8.8889e-11'
    """
    check_range("diameter_um", diameter_um, low=1, high=5000, reason="grounds")
    check_range("porosity", porosity, low=0.2, high=0.8, reason="a packed bed")
    return porosity**3 * (diameter_um * 1e-6) ** 2 / (180 * (1 - porosity) ** 2)


def bed_shape(shape: Shape, dose_g: float) -> BedShape:
    """Give the wet bed of a dose in a vessel.

    Paper drains where it faces down: a cone's whole wall, a basket's base; along an upright wall little runs.

    Args:
        shape: the vessel.
        dose_g: dry coffee in g.

    Returns:
        Depth, conductance factor and paper area of the bed.

    Raises:
        OutOfRange: outside the valid range.

    Valid range: dose 1 to 300 g; a cone's outlet radius 1 mm and up.
    Source: geometry; volume of a wet bed own default.

    >>> bed = bed_shape(Cone(30, 10), 20)
    >>> round(bed.depth_m * 1000, 1), round(bed.factor_m * 1000, 1)
    (34.9, 27.1)
    """
    check_range("dose_g", dose_g, low=1, high=300, reason="a bed people brew by hand")
    bed_ml = WET_BED_ML_PER_G.value * dose_g
    check_shape(shape)
    match shape:
        case Cone(half_angle_deg, outlet_radius_mm):
            check_range("outlet_radius_mm", outlet_radius_mm, low=1, reason="nothing drains through a closed tip")
            slope = math.tan(math.radians(half_angle_deg))
            depth, tip = level_mm(shape, bed_ml) / 1000, outlet_radius_mm / slope / 1000
            factor = math.pi * slope**2 / (1 / tip - 1 / (depth + tip))
            wall = math.pi * slope * (depth + 2 * tip) * depth / math.cos(math.radians(half_angle_deg))
            return BedShape(depth, factor, wall)
        case Cylinder(radius_mm):
            area = math.pi * (radius_mm / 1000) ** 2
            depth = bed_ml * 1e-6 / area
            return BedShape(depth, area / depth, area)
        case LevelTable():
            return _measured(shape, bed_ml)


def _measured(table: LevelTable, bed_ml: float) -> BedShape:
    """Treat a weighed vessel as stacked cylinders, each as wide as its volume over its height."""
    depth_mm = level_mm(table, min(bed_ml, table.volumes_ml[-1]))
    stop = [level for level in table.levels_mm if level < depth_mm] + [depth_mm]
    resistance = paper = radius_below = 0.0
    for lower, upper in pairwise(stop):
        height = (upper - lower) / 1000
        index = table.levels_mm.index(lower)
        rise_mm = table.levels_mm[index + 1] - lower
        area = (table.volumes_ml[index + 1] - table.volumes_ml[index]) * 1e-3 / rise_mm
        radius = math.sqrt(area / math.pi)
        resistance += height / area
        if not paper:
            paper, radius_below = area, radius  # the base
        if radius - radius_below > _LEANS * height:
            paper += 2 * math.pi * radius * math.hypot(height, radius - radius_below)
        radius_below = radius
    return BedShape(depth_mm / 1000, 1 / resistance, paper)


def resistance_per_m3(
    shape: Shape, dose_g: float, grind_um: float, flow_factor: float = 1.0, fit: Fit | None = None
) -> float:
    """Give the resistance of bed and paper in series: pressure over viscosity and volume flow.

    Args:
        shape: the vessel.
        dose_g: dry coffee in g.
        grind_um: median particle size in um.
        flow_factor: how much faster than the reference coffee this one drains.
        fit: the two fitted numbers; ``None`` for the project's own.

    Returns:
        Resistance in 1/m3.

    Raises:
        OutOfRange: outside the valid range.

    Valid range: dose 1 to 300 g, grind 100 to 2500 um, flow factor 0.02 to 50.
    Source: carman-1937; fitted to lee-chang-2026.

    >>> f"{resistance_per_m3(Cone(30, 10), 20, 600):.1e}"
    '9.9e+11'
    """
    check_range("flow_factor", flow_factor, low=0.02, high=50, reason="coffees drain within a factor of 50")
    fit = fit or Fit()
    bed = bed_shape(shape, dose_g)
    permeability = permeability_m2(sauter_um(grind_um)) * fit.permeability_scale * flow_factor
    return 1 / (permeability * bed.factor_m) + fit.paper_per_m / bed.paper_m2
