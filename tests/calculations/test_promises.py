"""Promised strength and extraction, by hand for the demo guides."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guides.calculations.assessment import Targets
from guides.calculations.promises import (
    bypass_points,
    check_targets,
    cup_window_g,
    extraction_asked,
    promise_findings,
    strength_given,
)
from guides.calculations.retention import retention_window
from guides.calculations.timeline import StepTime
from guides.calculations.validity import OutOfRange, Window

from .demo_plans import OUTER_MARK, OUTER_MARK_ICED, ROPE_WALK_L, ROPE_WALK_S, WINTER_KEEL

SURE = Window(2.1, 2.1, 2.1)


def clock(plan):
    return tuple(StepTime(step.start_s, step.end_s, False) for step in plan.steps)


def test_pulses_by_hand():
    """16 g, 264 g, r 2.1: the cup is 230.4 g; 21 % of 16 g in it is 1.458 %, which the guide rounds to 1.46 %."""
    cup = cup_window_g(OUTER_MARK, SURE)
    assert cup.likely == pytest.approx(230.4)
    assert strength_given(OUTER_MARK, Targets(extraction=0.21), cup).likely == pytest.approx(0.21 * 16 / 230.4)
    assert extraction_asked(OUTER_MARK, Targets(0.0146, 0.0146), cup).likely == pytest.approx(0.0146 * 230.4 / 16)


def test_jar_by_hand():
    """32 g, 480 g: all water at cup strength, so 1.38 % is 0.0138/0.9862 · 15 = 20.99 %."""
    cup = cup_window_g(WINTER_KEEL, SURE)
    assert cup.likely == pytest.approx(480 - 2.1 * 32 - 30)
    asked = extraction_asked(WINTER_KEEL, Targets(0.0138, 0.0138), cup)
    assert asked.likely == pytest.approx(0.2099, abs=5e-5)


def test_ice_weakens_the_cup_by_what_melts():
    cup = cup_window_g(OUTER_MARK_ICED, SURE)
    assert cup.likely == pytest.approx(190 - 42 + 110)
    assert strength_given(OUTER_MARK_ICED, Targets(extraction=0.2), cup).likely == pytest.approx(0.2 * 20 / 258)


@given(low=st.floats(0.01, 0.016), spread=st.floats(0, 0.003))
def test_strength_and_extraction_undo_each_other(low, spread):
    for plan in (ROPE_WALK_S, OUTER_MARK, WINTER_KEEL, OUTER_MARK_ICED):
        cup = cup_window_g(plan, SURE)
        asked = extraction_asked(plan, Targets(low, low + spread), cup)
        back = strength_given(plan, Targets(extraction=min(asked.likely, 0.35)), cup)
        if asked.likely <= 0.35:
            assert back.likely == pytest.approx(low + spread / 2)
        assert asked.low - 1e-12 <= asked.likely <= asked.high + 1e-12


@given(extraction=st.floats(0.15, 0.24))
def test_bypass_only_weakens_and_ends_at_the_promised_cup(extraction):
    cup = cup_window_g(ROPE_WALK_S, retention_window())
    points = bypass_points(ROPE_WALK_S, Window(extraction, extraction, extraction), cup)
    assert [point.added_g for point in points] == [0, 10, 20, 30, 40, 50, 60]
    strengths = [point.strength.likely for point in points]
    assert strengths == sorted(strengths, reverse=True)
    assert strengths[-1] == pytest.approx(extraction * 15 / 208.5)
    assert strengths[0] == pytest.approx(extraction * 15 / 148.5)
    assert bypass_points(ROPE_WALK_L, Window(0.2, 0.2, 0.2), cup) == ()


def codes(plan, targets, **changes):
    plan = replace(plan, **changes)
    cup = cup_window_g(plan, retention_window())
    return [
        finding.code
        for finding in promise_findings(plan, clock(plan), targets, cup, extraction_asked(plan, targets, cup), None)
    ]


def test_an_immersion_cannot_pass_its_plateau():
    """Liang 2021: 1.4131 % at R 15."""
    assert "target_above_plateau" not in codes(WINTER_KEEL, Targets(0.0135, 0.0138))
    assert "target_above_plateau" in codes(WINTER_KEEL, Targets(0.0145, 0.0150))
    assert "target_above_plateau" in codes(WINTER_KEEL, Targets(extraction=0.23))


def test_nor_can_a_valve_brew_with_all_its_water_in_before_it_opens():
    steeped = ROPE_WALK_L.steps[:2]
    late = (*steeped, replace(ROPE_WALK_L.steps[2], start_s=120, end_s=120))
    whole = {"steps": late, "water_g": 260}
    assert "target_above_plateau" in codes(ROPE_WALK_L, Targets(0.022, 0.022), **whole)
    assert "target_above_plateau" not in codes(ROPE_WALK_L, Targets(0.022, 0.022))  # its last third rinses


def test_a_short_steep_is_not_sold_as_the_plateau():
    assert "not_yet_plateau" in codes(WINTER_KEEL, Targets())
    assert "not_yet_plateau" not in codes(OUTER_MARK, Targets())


def test_promises_that_disagree_are_told():
    assert "targets_disagree" not in codes(OUTER_MARK, Targets(0.0146, 0.0146, 0.21))
    assert "targets_disagree" in codes(OUTER_MARK, Targets(0.0146, 0.0146, 0.25))
    assert "outside_usual_extraction" in codes(OUTER_MARK, Targets(0.025, 0.025))
    assert "last_drops_not_measured" in codes(ROPE_WALK_S, Targets(0.0125, 0.0135))


@pytest.mark.parametrize(
    ("argument", "bad"),
    [
        ("strength_low", Targets(strength_low=math.nan)),
        ("strength_low", Targets(strength_low=1.35)),
        ("strength_high", Targets(0.014, 0.013)),
        ("extraction", Targets(extraction=21)),
        ("extraction", Targets(extraction=math.inf)),
        ("first_drip_s", Targets(first_drip_s=-1)),
    ],
)
def test_promises_no_cup_can_keep(argument, bad):
    with pytest.raises(OutOfRange) as refused:
        check_targets(bad)
    assert refused.value.argument == argument
