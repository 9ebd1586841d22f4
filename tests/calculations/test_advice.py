"""One change at a time, in the order the trade teaches (common practice, no source)."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from guides.calculations.advice import Advice, Balance, Strength, next_change
from guides.calculations.assessment import Conditions
from guides.calculations.dialing import drained_s
from guides.calculations.validity import Window

from .demo_plans import DEMO, OUTER_MARK, ROPE_WALK_S, WINTER_KEEL

PLANS = st.sampled_from([plan for plan, _, _ in DEMO.values()])


@given(plan=PLANS, balance=st.sampled_from(Balance), strength=st.sampled_from([Strength.WEAK, Strength.STRONG]))
def test_strength_comes_first_and_water_alone_sets_it(plan, balance, strength):
    found = next_change(plan, strength, balance)
    assert found.code.endswith(("bypass", "water"))
    weaker = found.numbers["after_g"] > found.numbers["before_g"]
    assert weaker == (strength is Strength.STRONG)


@settings(max_examples=20)
@given(plan=PLANS, factor=st.floats(0.7, 1.4))
def test_a_grind_step_is_enough_to_notice(plan, factor):
    """At least 10 s of drained time, in whole tens of micrometres."""
    conditions = Conditions(trial_flow_factors=(factor,))
    for balance, code, sign in ((Balance.SOUR_THIN, "finer", -1), (Balance.BITTER_DRY, "coarser", 1)):
        found = next_change(plan, Strength.RIGHT, balance, conditions=conditions)
        assert found.code == code
        assert sign * (found.numbers["after_um"] - plan.grind_um) > 0
        if plan is WINTER_KEEL:
            assert "after_s" not in found.numbers
            continue
        assert found.numbers["after_um"] % 10 == 0
        moved = found.numbers["before_s"] - found.numbers["after_s"]
        assert sign * moved >= 9.4  # the search stops within half a second of 10
        assert found.numbers["after_s"] == drained_s(replace(plan, grind_um=found.numbers["after_um"]), conditions)


def test_drying_and_fast_is_uneven_not_too_fine():
    window = Window(190, 200, 215)
    fast = next_change(OUTER_MARK, Strength.RIGHT, Balance.BITTER_DRY, measured_drained_s=175, window=window)
    assert fast.code == "pour_lower"
    slow = next_change(OUTER_MARK, Strength.RIGHT, Balance.BITTER_DRY, measured_drained_s=220, window=window)
    assert slow.code == "coarser"


def test_good_is_left_alone():
    assert next_change(ROPE_WALK_S, Strength.RIGHT, Balance.BALANCED) == Advice("keep")


def test_bypass_never_falls_below_nothing():
    plan = replace(ROPE_WALK_S, bypass_g=4)
    assert next_change(plan, Strength.WEAK, Balance.BALANCED).numbers["after_g"] == 0


def test_unknown_advice_is_refused():
    with pytest.raises(KeyError):
        Advice("stir_with_the_other_hand")
