"""What differs is listed once, with its reason; what is equal is not."""

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from guides.calculations.adaptation import Confidence
from guides.calculations.changes import Expected, Reasons, list_changes
from guides.calculations.validity import Window

from .demo_plans import DEMO, OUTER_MARK, ROPE_WALK_S

NOTHING = Expected()


@given(name=st.sampled_from(list(DEMO)))
def test_equal_plans_differ_in_nothing(name):
    plan = DEMO[name][0]
    window = Window(190, 200, 215)
    assert list_changes(plan, plan, Reasons(), Expected(drained=window), Expected(drained=window)) == ()


def test_figures_come_with_their_own_reason_and_steps_with_the_waters():
    reasons = Reasons()
    reasons.because("kettle_c", "boils_lower")
    reasons.because("water_g", "fits", Confidence.PREDICTED)
    first, *rest = OUTER_MARK.steps
    new = replace(OUTER_MARK, kettle_c=94, water_g=260, steps=(replace(first, target_g=50, end_s=11), *rest))
    found = {change.code: change for change in list_changes(OUTER_MARK, new, reasons, NOTHING, NOTHING)}
    assert set(found) == {"water_g", "kettle_c", "step_target_g", "step_time_s"}
    assert (found["kettle_c"].before, found["kettle_c"].after, found["kettle_c"].reason) == (97, 94, "boils_lower")
    assert (found["step_target_g"].reason, found["step_target_g"].step) == ("fits", 0)
    assert found["step_time_s"].reason == "pour_rate"


def test_a_reason_of_a_step_goes_before_the_waters():
    reasons = Reasons()
    reasons.because("step 0", "more_gas", Confidence.RULE_OF_THUMB)
    first, *rest = OUTER_MARK.steps
    new = replace(OUTER_MARK, steps=(replace(first, target_g=50), *rest))
    (change,) = list_changes(OUTER_MARK, new, reasons, NOTHING, NOTHING)
    assert (change.reason, change.confidence) == ("more_gas", Confidence.RULE_OF_THUMB)


def test_predictions_are_marked_as_such():
    before, after = Expected(drained=Window(180, 190, 200)), Expected(drained=Window(190, 205, 220))
    (change,) = list_changes(ROPE_WALK_S, ROPE_WALK_S, Reasons(), before, after)
    assert (change.code, change.before, change.after, change.confidence) == (
        "drained_s",
        190,
        205,
        Confidence.PREDICTED,
    )
