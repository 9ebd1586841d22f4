"""Level and volume of vessels against geometry and a numerical integral."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from guides.calculations.validity import OutOfRange
from guides.calculations.vessel import (
    Cone,
    Cylinder,
    LevelTable,
    check_shape,
    estimated_cone_ml,
    level_mm,
    usable_from_weighing_ml,
    volume_ml,
)

CONES = st.builds(Cone, st.floats(10, 60), st.floats(0, 20))
SHAPES = st.one_of(CONES, st.builds(Cylinder, st.floats(20, 80)))
TABLE = LevelTable((0, 20, 50, 90), (0, 15, 90, 300))


@given(shape=SHAPES, level=st.floats(0, 200))
def test_level_undoes_volume(shape, level):
    assert level_mm(shape, volume_ml(shape, level)) == pytest.approx(level, abs=1e-6)


@given(level=st.floats(0, 90))
def test_a_weighed_vessel_reads_both_ways(level):
    assert level_mm(TABLE, volume_ml(TABLE, level)) == pytest.approx(level, abs=1e-9)


@given(cone=CONES, level=st.floats(1, 150))
def test_a_cone_is_the_integral_of_its_discs(cone, level):
    """SciPy adds up the discs."""
    slope = math.tan(math.radians(cone.half_angle_deg))
    discs, _ = quad(lambda height: math.pi * (cone.outlet_radius_mm + slope * height) ** 2, 0, level)
    assert volume_ml(cone, level) == pytest.approx(discs / 1000, rel=1e-9)


def test_sixty_degree_cone():
    """π h³ / 9 for 9 cm is 254 mL: geometry."""
    assert estimated_cone_ml(90) == pytest.approx(math.pi * 9**3 / 9, rel=1e-12)
    assert round(estimated_cone_ml(90)) == 254


def test_weighing_with_cold_water():
    """Water at 20 °C weighs 0.998206 g/mL (IAPWS-97)."""
    assert usable_from_weighing_ml(239.569) == pytest.approx(240, abs=0.01)
    with pytest.raises(OutOfRange, match="hot water is lighter"):
        usable_from_weighing_ml(240, 80)


@pytest.mark.parametrize(
    "bad",
    [
        Cone(0, 10),
        Cone(90, 10),
        Cone(math.nan, 10),
        Cone(30, -1),
        Cylinder(0),
        Cylinder(math.inf),
        LevelTable((0,), (0,)),
        LevelTable((0, 10), (0, 10, 20)),
        LevelTable((0, 10, 10), (0, 10, 20)),
        LevelTable((0, 10, 20), (0, 20, 10)),
        LevelTable((5, 10), (0, 10)),
        LevelTable((0, math.nan), (0, 10)),
    ],
)
def test_refuses_shapes_nobody_can_build(bad):
    with pytest.raises(OutOfRange):
        check_shape(bad)


@pytest.mark.parametrize("bad", [-1, math.nan, math.inf])
def test_refuses_bad_levels_and_volumes(bad):
    for shape in (Cone(30, 10), Cylinder(40), TABLE):
        with pytest.raises(OutOfRange, match="level_mm"):
            volume_ml(shape, bad)
        with pytest.raises(OutOfRange, match="volume_ml"):
            level_mm(shape, bad)
    with pytest.raises(OutOfRange, match="last point"):
        level_mm(TABLE, 301)
