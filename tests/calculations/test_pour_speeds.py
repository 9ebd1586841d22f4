"""Pours in another size stay within 2 to 10 g/s (common practice, no source) or the guide's own speed."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guides.calculations.plan import Action, Anchor
from guides.calculations.pour_speeds import keep_speeds
from guides.calculations.scaling import scale_to_dose

from .demo_plans import DEMO, KELP_LIGHT, OUTER_MARK, WINTER_KEEL

PLANS = st.sampled_from([plan for plan, _, _ in DEMO.values() if plan is not WINTER_KEEL])


def speeds(plan):
    before = 0.0
    for step in plan.steps:
        if step.action is Action.POUR:
            yield (step.target_g - before) / (step.end_s - step.start_s)
            before = step.target_g


@given(plan=PLANS, factor=st.floats(0.2, 4))
def test_no_pour_leaves_good_practice(plan, factor):
    kept = keep_speeds(scale_to_dose(plan, plan.dose_g * factor), plan)
    for speed, own in zip(speeds(kept), speeds(plan), strict=True):
        assert min(2, own) * 0.99 <= speed <= max(10, own) * 1.01 or speed < 2  # a pour of a second may be slower


@given(plan=PLANS, factor=st.floats(1, 4))
def test_steps_stay_in_order_and_waits_stay(plan, factor):
    kept = keep_speeds(scale_to_dose(plan, plan.dose_g * factor), plan)
    clocked = [step for step in kept.steps if step.anchor is Anchor.START]
    written = [step for step in plan.steps if step.anchor is Anchor.START]
    waits = [later.start_s - step.end_s for step, later in pairwise(clocked)]
    assert waits == pytest.approx([later.start_s - step.end_s for step, later in pairwise(written)])


def test_the_guides_own_size_is_left_alone():
    for plan, _, _ in DEMO.values():
        assert keep_speeds(plan, plan) == plan


def test_twice_the_pulses_fit_their_seconds():
    assert keep_speeds(scale_to_dose(OUTER_MARK, 32), OUTER_MARK).steps[-1] == OUTER_MARK.steps[-1]


def test_a_fast_guide_stays_as_fast():
    """The last pour of this guide runs at 9.3 g/s; in double size 18.7 g/s becomes 10."""
    kept = keep_speeds(scale_to_dose(KELP_LIGHT, 80), KELP_LIGHT)
    assert list(speeds(kept))[-1] == pytest.approx(10, abs=0.2)
