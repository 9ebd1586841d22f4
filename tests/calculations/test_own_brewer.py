"""A reader's own brewer. Outside check: volumes of solids from geometry; water's density from IAPWS-97."""

import math
from dataclasses import replace

import pytest
from iapws import IAPWS97

from guides.calculations.own_brewer import Material, Measured, Wall, brewer_of
from guides.calculations.validity import OutOfRange
from guides.calculations.vessel import Cone, Cylinder, Flow

CONE = Measured(Wall.CONE, Flow.OPEN, held_g=320)


def test_weighed_water_becomes_volume():
    density = IAPWS97(T=293.15, P=0.101325).rho / 1000  # g/mL at 20 °C
    assert brewer_of(CONE).usable_ml == pytest.approx(320 / density, rel=1e-4)


def test_a_cone_by_its_height_is_a_third_of_base_times_height():
    radius = 90 * math.tan(math.radians(30))
    estimated = brewer_of(replace(CONE, held_g=None, height_mm=90))
    assert estimated.usable_ml == pytest.approx(math.pi * radius**2 * 90 / 3 / 1000)


def test_a_straight_wall_is_base_times_height():
    jar = brewer_of(Measured(Wall.STRAIGHT, Flow.CLOSED, Material.GLASS, height_mm=120, across_mm=80))
    assert jar.usable_ml == pytest.approx(math.pi * 40**2 * 120 / 1000)
    assert jar.shape == Cylinder(40)


def test_a_weighing_counts_more_than_a_height():
    assert brewer_of(replace(CONE, height_mm=200)) == brewer_of(CONE)


def test_a_width_is_halved_to_a_radius():
    assert brewer_of(replace(CONE, across_mm=8)).shape == Cone(30, 4)


def test_glass_takes_more_heat_than_plastic():
    glass = brewer_of(replace(CONE, material=Material.GLASS))
    assert glass.heat_j_per_k > brewer_of(CONE).heat_j_per_k


@pytest.mark.parametrize(
    ("wrong", "argument"),
    [
        ({"held_g": None}, "held_g"),
        ({"held_g": -1}, "water_g"),
        ({"held_g": 6000}, "water_g"),
        ({"held_g": float("nan")}, "water_g"),
        ({"held_g": None, "height_mm": 5}, "height_mm"),
        ({"across_mm": 101}, "across_mm"),
        ({"across_mm": -1}, "across_mm"),
        ({"wall": Wall.STRAIGHT, "across_mm": 5}, "across_mm"),
    ],
)
def test_measures_no_brewer_has_are_refused(wrong, argument):
    with pytest.raises(OutOfRange) as refused:
        brewer_of(replace(CONE, **wrong))
    assert refused.value.argument == argument
