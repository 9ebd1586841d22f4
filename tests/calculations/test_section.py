"""A brewer cut through the middle holds what the brewer holds."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guides.calculations.assess import assess
from guides.calculations.section import standing_at, standings, usable_mm, wall
from guides.calculations.validity import OutOfRange
from guides.calculations.vessel import Cone, Cylinder, LevelTable, volume_ml

from .demo_plans import DEMO, KELP_LIGHT, MAST_CONE, ROPE_WALK_S, TIDEGATE_S


def turned_ml(outline) -> float:
    """Volume of the section turned around its axis. Outside check: the frustum, Euclid XII and every handbook."""
    return sum(
        math.pi / 3 * (top - bottom) * (narrow**2 + narrow * wide + wide**2) / 1000
        for (bottom, narrow), (top, wide) in pairwise(outline)
    )


@given(half_angle=st.floats(10, 45), outlet=st.floats(1, 20), height=st.floats(20, 200))
def test_a_cone_turned_around_its_axis_holds_its_volume(half_angle, outlet, height):
    shape = Cone(half_angle, outlet)
    assert turned_ml(wall(shape, height)) == pytest.approx(volume_ml(shape, height), rel=1e-9)


def test_a_jar_is_as_wide_all_the_way():
    assert wall(Cylinder(45), 100) == ((0.0, 45), (100, 45))


def test_a_weighed_vessel_holds_what_was_weighed():
    """Weighings of a cone, every 10 mm: the section found from them is that cone, but for its lowest part."""
    cone = Cone(30, 10)
    levels = tuple(float(level) for level in range(0, 101, 10))
    table = LevelTable(levels, tuple(volume_ml(cone, level) for level in levels))
    assert turned_ml(wall(table, 100)) == pytest.approx(volume_ml(cone, 100), rel=0.06)
    radii = [radius for _, radius in wall(table, 100)]
    assert radii == sorted(radii)


def test_the_usable_line_is_where_the_usable_volume_stands():
    assert volume_ml(TIDEGATE_S.shape, usable_mm(TIDEGATE_S)) == pytest.approx(240)
    assert volume_ml(MAST_CONE.shape, usable_mm(MAST_CONE)) == pytest.approx(500)


@pytest.mark.parametrize("name", DEMO)
def test_water_never_stands_below_the_grounds_and_the_bed_swells(name):
    plan, conditions, targets = DEMO[name]
    said = assess(plan, conditions, targets)
    seen = standings(plan, said.step_times, said.course, 3)
    assert all(moment.water_mm >= moment.bed_mm - 0.2 for moment in seen)
    assert seen[0].bed_mm < seen[-1].bed_mm
    assert all(late.bed_mm >= early.bed_mm - 0.2 for early, late in pairwise(seen))
    assert max(moment.water_mm for moment in seen) <= said.peak_level_mm + 0.01


def test_the_grounds_end_as_the_wet_bed():
    """2.4 mL per gram of dose, our own default: 36 mL of bed under 15 g."""
    said = assess(ROPE_WALK_S, *DEMO["rope walk S"][1:])
    last = standing_at(ROPE_WALK_S, said.step_times, said.course, 1e6)
    assert volume_ml(TIDEGATE_S.shape, last.bed_mm) == pytest.approx(36, rel=0.05)


def test_between_two_points_it_lies_between_them_and_outside_the_ends_hold():
    said = assess(ROPE_WALK_S, *DEMO["rope walk S"][1:])
    early, late = said.course[10], said.course[11]
    middle = standing_at(ROPE_WALK_S, said.step_times, said.course, (early.time_s + late.time_s) / 2)
    assert middle.water_mm == pytest.approx((early.level_mm + late.level_mm) / 2)
    before = standing_at(ROPE_WALK_S, said.step_times, said.course, -5)
    assert before.water_mm == said.course[0].level_mm


def test_the_valve_is_as_the_steps_left_it():
    said = assess(KELP_LIGHT, *DEMO["kelp light"][1:])
    opened = [standing_at(KELP_LIGHT, said.step_times, said.course, time).is_open for time in (0, 89, 91, 164, 166)]
    assert opened == [True, True, False, False, True]


def test_nothing_to_show_without_a_course_and_no_wall_without_height():
    assert standings(ROPE_WALK_S, (), ()) == ()
    with pytest.raises(OutOfRange):
        wall(Cylinder(45), 0)
