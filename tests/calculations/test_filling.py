"""As much as fits."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from guides.calculations.assess import assess
from guides.calculations.assessment import Conditions
from guides.calculations.filling import fill_shut, split_to_fit
from guides.calculations.freshness import GasLevel
from guides.calculations.plan import Action, Step
from guides.calculations.validity import OutOfRange

from .demo_plans import DEMO, KELP_LIGHT, OUTER_MARK, ROPE_WALK_S, TIDEGATE_S, pour


def test_the_table_guide_fills_to_about_560():
    """Written on the guide: "as much as fits shut", about 560 g, 640 g in all."""
    filled = fill_shut(KELP_LIGHT, Conditions(gas=GasLevel.RESTED))
    assert filled.water_g == pytest.approx(560, abs=20)
    assert filled.water_g + filled.bypass_g == 640
    assert filled.steps[3].target_g == filled.water_g
    assert assess(filled, Conditions(gas=GasLevel.RESTED)).refusals == ()


@settings(max_examples=25)
@given(gas=st.sampled_from(GasLevel), dose=st.integers(30, 50))
def test_a_filled_plan_never_overflows(gas, dose):
    filled = fill_shut(replace(KELP_LIGHT, dose_g=dose), Conditions(gas=gas))
    codes = {finding.code for finding in assess(filled, Conditions(gas=gas)).cautions}
    assert not codes & {"overflows_shut", "overflows", "near_shut_limit"}


def test_only_a_shut_valve_can_be_filled_up_to():
    for plan in (OUTER_MARK, ROPE_WALK_S):  # an open cone; a last pour through the open valve
        with pytest.raises(OutOfRange):
            fill_shut(plan)


@settings(max_examples=25)
@given(poured=st.integers(150, 400), gas=st.sampled_from(GasLevel))
def test_a_split_plan_fits_and_loses_no_water(poured, gas):
    steps = (pour(0, 20, poured / 2), pour(30, 60, poured), Step(Action.OPEN, 90, 90))
    plan = replace(ROPE_WALK_S, water_g=poured, bypass_g=0, steps=steps)
    fits = split_to_fit(plan, Conditions(gas=gas))
    assert fits.water_g + fits.bypass_g == pytest.approx(poured)
    assert fits.steps[1].target_g == pytest.approx(fits.water_g)
    assert fits.steps[0].target_g == pytest.approx(fits.water_g / 2)
    assert not {"overflows", "overflows_shut"} & {found.code for found in assess(fits, Conditions(gas=gas)).refusals}


@pytest.mark.parametrize("name", DEMO)
def test_what_fits_is_left_alone(name):
    plan, conditions, _ = DEMO[name]
    assert split_to_fit(plan, conditions) is plan


def test_a_brewer_full_of_coffee_takes_no_water():
    with pytest.raises(OutOfRange, match="dose_g"):
        split_to_fit(replace(ROPE_WALK_S, dose_g=100, brewer=TIDEGATE_S))
