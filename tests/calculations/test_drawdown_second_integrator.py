"""The stepping loop against SciPy's adaptive integrators, and against itself with smaller steps."""

import pytest

from guides.calculations.drawdown import simulate
from guides.calculations.plan import Plan
from tests.benchmarks.second_integrator import brew
from tests.calculations.demo_plans import KELP_LIGHT, OUTER_MARK, OUTER_MARK_ICED, ROPE_WALK_L, ROPE_WALK_S
from tests.calculations.drip_series import SERIES, VALVE_BREW, series_plan

PLANS = {
    **{f"D90 {point.d90_um}": series_plan(point.d90_um) for point in SERIES},
    "valve brew": VALVE_BREW,
    "rope walk S": ROPE_WALK_S,
    "rope walk L": ROPE_WALK_L,
    "outer mark": OUTER_MARK,
    "outer mark iced": OUTER_MARK_ICED,
    "kelp light": KELP_LIGHT,
}
each_plan = pytest.mark.parametrize("plan", PLANS.values(), ids=PLANS.keys())


@each_plan
@pytest.mark.parametrize("flow_factor", [0.7, 1.0, 1.5])
def test_scipy_agrees_on_every_moment(plan: Plan, flow_factor: float) -> None:
    course, answer = simulate(plan, flow_factor=flow_factor), brew(plan, flow_factor)
    assert course.soaked_s == pytest.approx(answer.soaked_s, abs=0.05)
    assert course.first_drip_s == pytest.approx(answer.dripped_s + 2, abs=0.05)
    assert course.drained_s == pytest.approx(answer.drained_s, abs=0.05)
    assert course.first_contact_s == pytest.approx(answer.first_contact_s, abs=0.1)
    assert course.cup_contact_s == pytest.approx(answer.cup_contact_s, abs=0.1)
    assert course.peak_level_mm == pytest.approx(answer.peak_level_mm, abs=0.05)
    at_drained = min(course.points, key=lambda point: abs(point.time_s - answer.drained_s))
    assert at_drained.slurry_c == pytest.approx(answer.slurry_c, abs=0.1)


@each_plan
@pytest.mark.parametrize("step_s", [1.0, 0.5, 0.25])
def test_halving_the_step_moves_no_time_by_half_a_second(plan: Plan, step_s: float) -> None:
    whole, half = simulate(plan, step_s=step_s), simulate(plan, step_s=step_s / 2)
    for moment in ("soaked_s", "first_drip_s", "drained_s", "peak_at_s", "first_contact_s", "cup_contact_s"):
        assert getattr(whole, moment) == pytest.approx(getattr(half, moment), abs=0.5), moment
