"""The likely course rests on what trial brews taught."""

from hypothesis import given, settings
from hypothesis import strategies as st

from guides.calculations.assessment import Conditions
from guides.calculations.brewing import COARSE_S, likely_course

from .demo_plans import DEMO, OUTER_MARK


@settings(max_examples=10)
@given(factor=st.floats(0.5, 2))
def test_a_fast_coffee_drains_sooner(factor):
    usual = likely_course(OUTER_MARK, Conditions())
    other = likely_course(OUTER_MARK, Conditions(trial_flow_factors=(factor,) * 5))
    assert (other.drained_s < usual.drained_s) == (factor > 1)


def test_a_coffee_that_keeps_more_gives_less():
    usual = likely_course(OUTER_MARK, Conditions())
    thirsty = likely_course(OUTER_MARK, Conditions(trial_retentions=(2.8,) * 5))
    assert thirsty.drained_g < usual.drained_g


def test_coarse_steps_are_fine_enough_for_searches():
    for plan, conditions, _ in DEMO.values():
        fine, coarse = likely_course(plan, conditions), likely_course(plan, conditions, COARSE_S)
        assert abs(fine.drained_s - coarse.drained_s) < 0.5
