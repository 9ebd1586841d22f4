"""Which dose a wish comes to."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from guides.calculations.adaptation import Request
from guides.calculations.assess import assess
from guides.calculations.assessment import Conditions
from guides.calculations.freshness import GasLevel
from guides.calculations.promises import cup_window_g
from guides.calculations.retention import retention_window
from guides.calculations.sizing import check_size, dose_wanted_g, for_gas, fullest_dose_g, resized
from guides.calculations.validity import OutOfRange

from .demo_plans import DEMO, OUTER_MARK, ROPE_WALK_S

PLANS = st.sampled_from([plan for plan, _, _ in DEMO.values()])


@settings(max_examples=15)
@given(plan=PLANS, gas=st.sampled_from(GasLevel))
def test_the_fullest_brewer_is_full_and_not_over(plan, gas):
    conditions = Conditions(gas=gas)
    fullest = fullest_dose_g(plan, conditions)
    fits, more = (assess(resized(plan, dose), conditions) for dose in (fullest, fullest + 1))
    held = {"overflows", "overflows_shut", "near_limit", "near_shut_limit"}
    assert not held & {"overflows", "overflows_shut"} & {found.code for found in fits.refusals}
    assert held & {found.code for found in more.cautions}


@given(plan=PLANS, cup=st.floats(150, 900))
def test_a_wanted_cup_is_met_to_the_tenth_of_a_gram_of_coffee(plan, cup):
    dose = dose_wanted_g(plan, Request(cup_g=cup), Conditions())
    found = cup_window_g(resized(plan, dose), retention_window()).likely
    assert found == pytest.approx(cup, abs=0.05 * cup / dose + 1.0)


def test_what_is_left_in_the_bag_is_the_dose():
    assert dose_wanted_g(OUTER_MARK, Request(bag_left_g=11.2), Conditions()) == 11.2
    assert dose_wanted_g(OUTER_MARK, Request(), Conditions()) == 16


@pytest.mark.parametrize(
    "bad",
    [
        Request(dose_g=0),
        Request(cup_g=-3),
        Request(bag_left_g=float("nan")),
        Request(dose_g=float("inf")),
        Request(dose_g=18, cup_g=300),
        Request(fill_brewer=True, bag_left_g=12),
    ],
)
def test_one_size_at_a_time_and_a_real_one(bad):
    with pytest.raises(OutOfRange):
        check_size(bad)


@pytest.mark.parametrize("dose", [0.2, 3000])
def test_no_brew_by_hand_is_so_small_or_so_large(dose):
    with pytest.raises(OutOfRange, match="dose_g"):
        dose_wanted_g(OUTER_MARK, Request(dose_g=dose), Conditions())


@given(written=st.sampled_from(GasLevel), now=st.sampled_from(GasLevel))
def test_only_a_fresher_coffee_in_an_open_cone_gets_a_larger_first_pour(written, now):
    order = list(GasLevel)
    changed = for_gas(OUTER_MARK, written, now)
    first, second = changed.steps[0].target_g, changed.steps[1].target_g
    assert OUTER_MARK.steps[0].target_g <= first < second
    if order.index(now) <= order.index(written):
        assert changed == OUTER_MARK
    assert for_gas(ROPE_WALK_S, written, now) == ROPE_WALK_S
