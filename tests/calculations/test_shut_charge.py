"""What stands above a shut valve."""

import math
from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from guides.calculations.assessment import Conditions
from guides.calculations.brewing import likely_course
from guides.calculations.freshness import GasLevel
from guides.calculations.plan import Action, Step
from guides.calculations.shut_charge import held_findings, most_held_g, shut_charge_g, shut_periods

from .demo_plans import KELP_LIGHT, OUTER_MARK, ROPE_WALK_S, TIDEGATE_S, pour


def test_periods_of_the_demo_guides():
    assert shut_periods(ROPE_WALK_S.steps, True) == ((0, 75),)
    assert shut_periods(KELP_LIGHT.steps, False) == ((90, 165),)
    assert shut_periods((), True) == ((0, math.inf),)
    assert shut_periods((Step(Action.OPEN, 5, 5),), False) == ()


def test_charge_of_the_valve_brew_is_what_was_poured_before_it_opened():
    course = likely_course(ROPE_WALK_S, Conditions())
    assert shut_charge_g(course.points, [(0, 75)]) == 120
    assert most_held_g(course.points) >= 120


def test_charge_of_a_bed_that_ran_first_is_less_than_was_poured():
    course = likely_course(KELP_LIGHT, Conditions(gas=GasLevel.RESTED))
    ran_g = max(point.drained_g for point in course.points if point.time_s <= 90)
    assert shut_charge_g(course.points, [(90, 165)]) == round(560 - ran_g, 6)


@given(poured=st.integers(150, 260))
def test_a_charge_above_the_limit_is_refused_with_a_split_that_adds_up(poured):
    steps = (pour(0, 40, poured), Step(Action.OPEN, 75, 75))
    plan = replace(ROPE_WALK_S, water_g=poured, bypass_g=20, steps=steps)
    course = likely_course(plan, Conditions())
    charge = shut_charge_g(course.points, [(0, 75)])
    found = held_findings(plan, course.points, charge, 190, course.overflow_at_s)
    codes = [finding.code for finding in found]
    if poured > 190:
        assert codes == ["overflows_shut"]
        numbers = found[0].numbers
        assert numbers["water_g"] + numbers["bypass_g"] == poured + 20
        assert numbers["water_g"] == 190
    else:
        assert codes == (["near_shut_limit"] if poured > 0.95 * 190 else [])


def test_an_open_cone_runs_over_too():
    small = replace(OUTER_MARK, brewer=replace(TIDEGATE_S, usable_ml=110, flow=OUTER_MARK.brewer.flow))
    course = likely_course(small, Conditions(gas=GasLevel.RESTED))
    found = held_findings(small, course.points, 0, 80, course.overflow_at_s)
    assert [finding.code for finding in found] == ["overflows"]
    assert found[0].numbers["held_g"] > 80
