"""Scaling keeps ratios, shares and anchors; round trips come home."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guides.calculations.plan import Action
from guides.calculations.rounding import five_grams, whole_grams
from guides.calculations.scaling import (
    brew_ratio,
    cup_mass_g,
    cup_ratio,
    dose_for_cup_g,
    dose_g_per_litre,
    rounded,
    scale_to_cup,
    scale_to_dose,
    scale_to_water,
)
from guides.calculations.validity import OutOfRange

from .demo_plans import DEMO, KELP_LIGHT, OUTER_MARK, ROPE_WALK_S

PLANS = st.sampled_from([plan for plan, _, _ in DEMO.values()])
DOSES = st.floats(5, 120)


def pour_targets(plan):
    return [step.target_g for step in plan.steps if step.action is Action.POUR]


@given(plan=PLANS, dose_g=DOSES)
def test_ratios_shares_and_anchors_stay(plan, dose_g):
    scaled = scale_to_dose(plan, dose_g)
    assert scaled.dose_g == dose_g
    assert brew_ratio(scaled.dose_g, scaled.water_g) == pytest.approx(brew_ratio(plan.dose_g, plan.water_g))
    assert cup_ratio(scaled.dose_g, scaled.water_g, scaled.bypass_g, scaled.ice_g) == pytest.approx(
        cup_ratio(plan.dose_g, plan.water_g, plan.bypass_g, plan.ice_g)
    )
    shares = [target / plan.water_g for target in pour_targets(plan)]
    assert [target / scaled.water_g for target in pour_targets(scaled)] == pytest.approx(shares)
    assert [replace(step, target_g=None) for step in scaled.steps] == [
        replace(step, target_g=None) for step in plan.steps
    ]


@given(plan=PLANS, dose_g=DOSES)
def test_there_and_back_again(plan, dose_g):
    home = scale_to_dose(scale_to_dose(plan, dose_g), plan.dose_g)
    assert pour_targets(home) == pytest.approx(pour_targets(plan))
    assert home.water_g == pytest.approx(plan.water_g)
    assert scale_to_water(plan, plan.water_g * 2).dose_g == pytest.approx(plan.dose_g * 2)


@given(plan=PLANS, cup_g=st.floats(100, 900), kept=st.floats(1, 3))
def test_a_wanted_cup_is_the_cup(plan, cup_g, kept):
    scaled = scale_to_cup(plan, cup_g, kept)
    cup = cup_mass_g(scaled.dose_g, scaled.water_g, scaled.bypass_g, scaled.ice_g, kept)
    assert cup == pytest.approx(cup_g)


@given(plan=PLANS, dose_g=DOSES, rule=st.sampled_from([whole_grams, five_grams]))
def test_rounded_plans_add_up(plan, dose_g, rule):
    scaled = scale_to_dose(plan, dose_g, rule)
    assert pour_targets(scaled)[-1] == scaled.water_g == int(scaled.water_g)
    adds = [step.target_g for step in scaled.steps if step.action is Action.ADD_BYPASS]
    assert adds in ([], [scaled.water_g + scaled.bypass_g])


def test_worked_example():
    """300 g at 1:16 with 2.1 g/g kept takes 21.58 g: arithmetic."""
    assert dose_for_cup_g(300, 16, 2.1) == pytest.approx(21.58, abs=0.005)


def test_cupping_and_golden_cup_agree():
    """SCAA: 8.25 g per 150 mL in cupping is the Golden Cup's 55 g/L."""
    assert dose_g_per_litre(8.25, 150) == pytest.approx(55)


def test_the_demo_guides_ratios():
    """As written on the guides: 1:12 / 1:16, 1:16.5, 1:14 / 1:16."""
    assert brew_ratio(ROPE_WALK_S.dose_g, ROPE_WALK_S.water_g) == 12
    assert cup_ratio(ROPE_WALK_S.dose_g, ROPE_WALK_S.water_g, ROPE_WALK_S.bypass_g) == 16
    assert brew_ratio(OUTER_MARK.dose_g, OUTER_MARK.water_g) == 16.5
    assert cup_ratio(KELP_LIGHT.dose_g, KELP_LIGHT.water_g, KELP_LIGHT.bypass_g) == 16


def test_grounds_that_keep_everything_leave_only_the_bypass():
    assert cup_mass_g(15, 20, 60, 0, 2.1) == 60


def test_a_plan_without_pours_is_rounded_by_its_water():
    assert rounded(replace(OUTER_MARK, steps=(), water_g=263.6)).water_g == 264


@pytest.mark.parametrize("bad", [0, -1, math.nan, math.inf])
def test_refuses_sizes_nobody_brews(bad):
    for call in (
        lambda: scale_to_dose(OUTER_MARK, bad),
        lambda: scale_to_water(OUTER_MARK, bad),
        lambda: scale_to_cup(OUTER_MARK, bad),
        lambda: brew_ratio(bad, 250),
        lambda: dose_for_cup_g(300, bad),
    ):
        with pytest.raises(OutOfRange):
            call()
