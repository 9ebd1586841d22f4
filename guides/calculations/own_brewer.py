"""A reader's own brewer, from what can be found out in a kitchen: a scale, a ruler, and what it is made of."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from .constants import (
    FIT_HALF_ANGLE_DEG,
    FIT_OUTLET_RADIUS_MM,
    HEAT_GLASS_J_K,
    HEAT_LARGE_PLASTIC_J_K,
    HEAT_SMALL_PLASTIC_J_K,
    SMALL_BREWER_ML,
    USUAL_JAR_RADIUS_MM,
)
from .validity import OutOfRange, check_range
from .vessel import Brewer, Cone, Cylinder, Flow, Shape, check_shape, estimated_cone_ml, usable_from_weighing_ml
from .vessel import volume_ml as volume_below_ml


class Wall(StrEnum):
    """How the wall of a brewer runs."""

    CONE = "cone"  # 60 degrees
    STRAIGHT = "straight"


class Material(StrEnum):
    """What a brewer is made of, as far as its heat goes."""

    PLASTIC = "plastic"
    GLASS = "glass"  # glass, ceramic or metal


@dataclass(frozen=True)
class Measured:
    """What a reader knows of a brewer.

    ``held_g`` is the cold water it holds up to the line, paper in place; without it ``height_mm``, from the outlet to
    that line, gives an estimate. ``across_mm`` is the width of a cone's outlet, or of a straight wall inside.
    """

    wall: Wall
    flow: Flow
    material: Material = Material.PLASTIC
    held_g: float | None = None
    height_mm: float | None = None
    across_mm: float | None = None


def brewer_of(measured: Measured) -> Brewer:
    """Give the brewer a reader has measured; a weighing counts more than a height.

    Args:
        measured: what they know of it.

    Returns:
        Geometry, usable volume, heat and way out.

    Raises:
        OutOfRange: neither weight nor height, or a measure that no brewer has.

    Valid range: 1 g to 5 kg of water, 10 to 300 mm high; outlets up to 100 mm, straight walls 10 to 1000 mm across.
    Source: vessel.usable_from_weighing_ml; estimates by geometry; heat an own default by material and size.

    >>> brewer_of(Measured(Wall.CONE, Flow.OPEN, held_g=299.5)).usable_ml.__round__()
    300
    >>> brewer_of(Measured(Wall.CONE, Flow.OPEN, height_mm=90)).usable_ml.__round__()
    254
    """
    shape = _shape(measured)
    if measured.held_g is not None:
        usable_ml = usable_from_weighing_ml(measured.held_g)
    elif measured.height_mm is None:
        raise OutOfRange("held_g", 0.0, low=1, high=5000, reason="weigh the water it holds, or measure its height")
    elif isinstance(shape, Cylinder):
        check_range("height_mm", measured.height_mm, low=10, high=300, reason="a brewer for coffee")
        usable_ml = volume_below_ml(shape, measured.height_mm)
    else:
        usable_ml = estimated_cone_ml(measured.height_mm)
    return Brewer(shape, usable_ml, _heat_j_k(measured.material, usable_ml), measured.flow)


def _shape(measured: Measured) -> Shape:
    radius_mm = None if measured.across_mm is None else measured.across_mm / 2
    low, high = (0, 100) if measured.wall is Wall.CONE else (10, 1000)
    check_range("across_mm", measured.across_mm or low, low=low, high=high, reason="the outlet of a cone, or a jar")
    if measured.wall is Wall.CONE:
        outlet_mm = FIT_OUTLET_RADIUS_MM.value if radius_mm is None else radius_mm
        return check_shape(Cone(FIT_HALF_ANGLE_DEG.value, outlet_mm))
    return check_shape(Cylinder(USUAL_JAR_RADIUS_MM.value if radius_mm is None else radius_mm))


def _heat_j_k(material: Material, usable_ml: float) -> float:
    if material is Material.GLASS:
        return HEAT_GLASS_J_K.value
    return (HEAT_SMALL_PLASTIC_J_K if usable_ml < SMALL_BREWER_ML.value else HEAT_LARGE_PLASTIC_J_K).value
