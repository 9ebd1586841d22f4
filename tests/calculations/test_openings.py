"""The first drip as a choice."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from guides.calculations.assessment import Conditions
from guides.calculations.brewing import likely_course
from guides.calculations.openings import compare_openings, judge_first_drip, opening_for_first_drip, with_opening
from guides.calculations.plan import Action, Anchor, Step
from guides.calculations.validity import OutOfRange

from .demo_plans import KELP_LIGHT, OUTER_MARK, ROPE_WALK_L, ROPE_WALK_S, pour


@settings(max_examples=30)
@given(plan=st.sampled_from([ROPE_WALK_S, ROPE_WALK_L]), wanted=st.floats(75, 300))
def test_the_first_drop_comes_when_wanted_one_to_five_seconds_after_opening(plan, wanted):
    """Common practice, no source: 1 to 5 s."""
    moved = opening_for_first_drip(plan, wanted)
    opening = next(step.start_s for step in moved.steps if step.action is Action.OPEN)
    assert likely_course(moved, Conditions()).first_drip_s == pytest.approx(wanted, abs=1)
    assert 1 <= wanted - opening <= 5


@settings(max_examples=20)
@given(first=st.integers(70, 150), later=st.integers(5, 60))
def test_a_later_opening_drips_later_and_steeps_longer(first, later):
    early, late = compare_openings(ROPE_WALK_S, (first, first + later))
    assert late.first_drip_s > early.first_drip_s
    assert late.first_contact_s > early.first_contact_s
    assert late.cup_contact_s > early.cup_contact_s
    assert late.drained_s > early.drained_s


def test_steps_below_the_opening_keep_their_distance():
    moved = with_opening(ROPE_WALK_S, 90)
    assert [step.start_s for step in moved.steps] == [0, 40, 65, 90, 100, 0]
    assert moved.steps[-1].anchor is Anchor.DRAINED


def test_an_opening_after_the_step_above_is_found_on_the_clock():
    steps = list(ROPE_WALK_S.steps)
    steps[3] = replace(steps[3], anchor=Anchor.PREVIOUS, start_s=7, end_s=7)
    assert [step.start_s for step in with_opening(replace(ROPE_WALK_S, steps=tuple(steps)), 85).steps][3:5] == [85, 95]


def test_only_a_shut_valve_opens():
    for plan in (OUTER_MARK, KELP_LIGHT):
        with pytest.raises(OutOfRange, match="openings"):
            with_opening(plan, 60)


@pytest.mark.parametrize("bad", [-1, math.nan, math.inf])
def test_refuses_bad_times(bad):
    with pytest.raises(OutOfRange):
        opening_for_first_drip(ROPE_WALK_S, bad)
    with pytest.raises(OutOfRange, match="opening_s"):
        with_opening(ROPE_WALK_S, bad)


def test_dry_grounds_do_not_drip_whatever_is_opened():
    one_pour = replace(ROPE_WALK_S, steps=(pour(0, 40, 180), Step(Action.OPEN, 75, 75)))
    with pytest.raises(OutOfRange, match="not soaked"):
        opening_for_first_drip(one_pour, 3)


def test_an_opening_that_pushes_pours_into_each_other_is_refused():
    with pytest.raises(OutOfRange, match="one pour at a time"):
        opening_for_first_drip(ROPE_WALK_S, 30)


@pytest.mark.parametrize(
    ("seen_s", "verdict"),
    [
        (70, "before_opening"),
        (75, "before_opening"),
        (76, "as_it_should"),
        (80, "as_it_should"),
        (83, "slow"),
        (86, "blocked"),
    ],
)
def test_the_first_drop_tells_on_the_valve(seen_s, verdict):
    """Common practice, no source: 1 to 5 s after opening; earlier it was not shut, after 10 s it is blocked."""
    assert judge_first_drip(75, seen_s) == verdict
