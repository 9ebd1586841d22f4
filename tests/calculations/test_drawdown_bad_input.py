"""Numbers nobody brews with: each is refused by name, with its range and the reason, or the brew ends and says how."""

import contextlib
import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guides.calculations.constants import LONGEST_DRAIN_S, LONGEST_PLAN_S
from guides.calculations.drawdown import Course, simulate
from guides.calculations.plan import Action, Anchor, Plan, Step
from guides.calculations.validity import OutOfRange
from guides.calculations.vessel import Brewer, Cone, Flow, LevelTable
from tests.calculations.any_plans import NONSENSE, PLANS
from tests.calculations.demo_plans import OUTER_MARK

POUR = Step(Action.POUR, 0, 20, 200)


def with_steps(*steps: Step) -> Plan:
    return replace(OUTER_MARK, steps=steps)


def with_shape(shape) -> Plan:
    return replace(OUTER_MARK, brewer=Brewer(shape, 500, 60, Flow.OPEN))


BAD = {
    "3 kg of coffee": (replace(OUTER_MARK, dose_g=3000), {}, "dose_g"),
    "no coffee": (replace(OUTER_MARK, dose_g=0), {}, "dose_g"),
    "less than no coffee": (replace(OUTER_MARK, dose_g=-15), {}, "dose_g"),
    "ice": (replace(OUTER_MARK, kettle_c=-20), {}, "kettle_c"),
    "steam": (replace(OUTER_MARK, kettle_c=120), {}, "kettle_c"),
    "no temperature": (replace(OUTER_MARK, kettle_c=math.nan), {}, "kettle_c"),
    "endless water": (replace(OUTER_MARK, water_g=math.inf), {}, "water_g"),
    "dust": (replace(OUTER_MARK, grind_um=10), {}, "grind_um"),
    "gravel": (replace(OUTER_MARK, grind_um=9000), {}, "grind_um"),
    "no brewer": (replace(OUTER_MARK, brewer=replace(OUTER_MARK.brewer, usable_ml=0)), {}, "usable_ml"),
    "closed tip": (with_shape(Cone(30, 0)), {}, "outlet_radius_mm"),
    "falling table": (with_shape(LevelTable((0, 50, 40), (0, 100, 200))), {}, "levels_mm"),
    "no pour": (with_steps(), {}, "steps"),
    "pour without target": (with_steps(Step(Action.POUR, 0, 20)), {}, "target_g"),
    "falling target": (with_steps(POUR, Step(Action.POUR, 30, 40, 150)), {}, "target_g"),
    "overlapping pours": (with_steps(POUR, Step(Action.POUR, 10, 40, 264)), {}, "start_s"),
    "ends before it starts": (with_steps(Step(Action.POUR, 30, 20, 200)), {}, "end_s"),
    "pour at no time": (with_steps(Step(Action.POUR, math.nan, 20, 200)), {}, "start_s"),
    "pour after two hours": (
        with_steps(POUR, Step(Action.POUR, 7000, 7100, 220), Step(Action.POUR, 7000, 7100, 264, Anchor.PREVIOUS)),
        {},
        "end_s",
    ),
    "no flow": (OUTER_MARK, {"flow_factor": 0}, "flow_factor"),
    "grounds that keep nothing": (OUTER_MARK, {"retention_g_g": 0}, "retention_g_g"),
    "frozen room": (OUTER_MARK, {"room_c": -20}, "room_c"),
    "no step": (OUTER_MARK, {"step_s": 0}, "step_s"),
    "step as long as a pour": (OUTER_MARK, {"step_s": 20}, "step_s"),
    "boiling brewer": (OUTER_MARK, {"brewer_c": 300}, "brewer_c"),
}


@pytest.mark.parametrize(("plan", "given", "argument"), BAD.values(), ids=BAD.keys())
def test_bad_numbers_are_refused_by_name(plan: Plan, given: dict[str, float], argument: str) -> None:
    with pytest.raises(OutOfRange) as caught:
        simulate(plan, **given)
    assert caught.value.argument == argument
    assert caught.value.reason
    assert caught.value.low is not None or caught.value.high is not None


def check_sane(course: Course) -> None:
    numbers = [value for point in course.points for value in point]
    assert all(math.isfinite(number) for number in numbers)
    assert course.points[-1].time_s <= LONGEST_PLAN_S.value + LONGEST_DRAIN_S.value + 3600
    for moment in (course.first_drip_s, course.drained_s, course.first_contact_s, course.cup_contact_s):
        assert moment is None or (math.isfinite(moment) and moment >= 0)
    for point in course.points:
        assert min(point.free_g, point.absorbed_g, point.drained_g, point.level_mm) >= -1e-6
        assert 0 <= point.slurry_c <= 100
    assert all(
        after.drained_g >= before.drained_g for before, after in zip(course.points, course.points[1:], strict=False)
    )


@given(PLANS, st.floats(0.02, 50), st.floats(0.5, 4), st.sampled_from([0.25, 0.5, 1.0]))
def test_any_plan_is_brewed_to_an_end_or_refused(
    plan: Plan, flow_factor: float, retention: float, step_s: float
) -> None:
    with contextlib.suppress(OutOfRange):
        check_sane(simulate(plan, flow_factor=flow_factor, retention_g_g=retention, step_s=step_s))


@given(NONSENSE, st.sampled_from(["dose_g", "water_g", "kettle_c", "grind_um", "bypass_g", "ice_g"]))
def test_nonsense_in_a_plan_is_refused(number: float, name: str) -> None:
    with pytest.raises(OutOfRange) as caught:
        simulate(replace(OUTER_MARK, **{name: number}))
    assert caught.value.argument == name


@given(NONSENSE, st.sampled_from(["flow_factor", "retention_g_g", "room_c", "step_s", "brewer_c"]))
def test_nonsense_around_a_plan_is_refused(number: float, name: str) -> None:
    with pytest.raises(OutOfRange) as caught:
        simulate(OUTER_MARK, **{name: number})
    assert caught.value.argument == name


@given(NONSENSE, st.sampled_from(["start_s", "end_s", "target_g"]), st.integers(0, 3))
def test_nonsense_in_a_step_is_refused(number: float, name: str, index: int) -> None:
    steps = list(OUTER_MARK.steps)
    steps[index] = replace(steps[index], **{name: number})
    with pytest.raises(OutOfRange):
        simulate(replace(OUTER_MARK, steps=tuple(steps)))
