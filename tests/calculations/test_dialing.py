"""The grind for a drained time; SciPy's root finder is the outside reference."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from guides.calculations.assessment import Conditions
from guides.calculations.dialing import Logged, drained_s, grind_for_drained, grinder_offset_um, regrind
from guides.calculations.drawdown import simulate
from guides.calculations.validity import OutOfRange, Window

from .demo_plans import KELP_LIGHT, OUTER_MARK, OUTER_MARK_ICED, ROPE_WALK_L, ROPE_WALK_S

PLANS = st.sampled_from([ROPE_WALK_S, ROPE_WALK_L, OUTER_MARK, OUTER_MARK_ICED, KELP_LIGHT])


@settings(max_examples=25)
@given(plan=PLANS, grind_um=st.floats(300, 1500))
def test_the_grind_found_drains_when_wanted(plan, grind_um):
    wanted = drained_s(replace(plan, grind_um=grind_um))
    found = grind_for_drained(plan, wanted)
    assert found.drained_s == pytest.approx(wanted, abs=0.5)
    assert drained_s(replace(plan, grind_um=found.grind_um)) == pytest.approx(wanted, abs=0.51)


@pytest.mark.parametrize("wanted", [180, 200, 230])
def test_agrees_with_scipy(wanted):
    expected = brentq(lambda um: drained_s(replace(OUTER_MARK, grind_um=um)) - wanted, 200, 2400)
    found = grind_for_drained(OUTER_MARK, wanted)
    assert drained_s(replace(OUTER_MARK, grind_um=expected)) == pytest.approx(found.drained_s, abs=0.6)


@settings(max_examples=15)
@given(plan=PLANS, factor=st.floats(0.8, 1.5))
def test_a_slower_coffee_asks_for_a_coarser_grind(plan, factor):
    """The story of the new crop: the same drained time, from a coffee that flows differently."""
    usual = drained_s(plan)
    other = grind_for_drained(plan, usual, Conditions(trial_flow_factors=(factor,) * 20))
    if factor < 0.95:
        assert other.grind_um > plan.grind_um
    if factor > 1.05:
        assert other.grind_um < plan.grind_um


def test_times_no_grind_gives():
    with pytest.raises(OutOfRange, match="no grind is so fast"):
        grind_for_drained(OUTER_MARK, 100)  # before its last pour
    with pytest.raises(OutOfRange, match="no grind is so slow"):
        grind_for_drained(OUTER_MARK_ICED, 1700)
    for bad in (math.nan, math.inf, -1):
        with pytest.raises(OutOfRange, match="wanted_s"):
            grind_for_drained(OUTER_MARK, bad)


@settings(max_examples=15)
@given(offset=st.floats(-80, 80))
def test_two_logged_times_introduce_a_grinder(offset):
    brews = [
        Logged(plan, drained_s(replace(plan, grind_um=plan.grind_um + offset))) for plan in (OUTER_MARK, ROPE_WALK_L)
    ]
    assert grinder_offset_um(brews) == pytest.approx(offset, abs=12)


def test_one_logged_time_is_not_enough():
    with pytest.raises(OutOfRange, match="brews"):
        grinder_offset_um([Logged(OUTER_MARK, 200)])


@settings(max_examples=15)
@given(factor=st.floats(0.68, 0.8), scatter=st.floats(-0.05, 0.05))
def test_a_late_brew_is_brought_back_inside_its_window_and_no_farther_than_needed(factor, scatter):
    """Judged by the simulation at the coffee's true factor, which the suggestion does not know exactly."""
    window, at_grind = Window(180, 195, 210), OUTER_MARK
    measured = simulate(at_grind, flow_factor=factor).drained_s
    conditions = Conditions(trial_flow_factors=(factor * math.exp(scatter),))
    found = regrind(at_grind, measured, window, conditions)
    assert found.grind_um % 10 == 0
    assert found.drained_s == pytest.approx(200, abs=2)
    back = simulate(replace(at_grind, grind_um=found.grind_um), flow_factor=factor).drained_s
    assert window.likely - 5 < back < window.high
