"""What physics says must hold for every brew, tried on hundreds."""

from dataclasses import replace

from hypothesis import assume, given
from hypothesis import strategies as st

from guides.calculations.drawdown import Course, Outcome, simulate
from guides.calculations.plan import Action, Anchor, Plan, Step
from guides.calculations.vessel import Brewer, Cone, Cylinder, Flow, Shape

CONES = st.builds(Cone, st.floats(25, 40), st.floats(5, 12))
SHAPES = st.one_of(CONES, st.builds(Cylinder, st.floats(30, 60)))
SLACK_S = 0.05
"""Two brews that drain alike may differ by less than the integration tells apart."""


@st.composite
def open_brews(draw: st.DrawFn, shapes: st.SearchStrategy[Shape] = SHAPES) -> Plan:
    """Two to four pours through open paper, each begun after the last one ended."""
    dose_g = draw(st.floats(12, 35))
    water_g = dose_g * draw(st.floats(12, 18))
    count = draw(st.integers(2, 4))
    now_s, steps = 0.0, []
    for index in range(1, count + 1):
        lasts_s = draw(st.floats(10, 40))
        steps.append(Step(Action.POUR, now_s, now_s + lasts_s, water_g * index / count))
        now_s += lasts_s + draw(st.floats(0, 40))
    brewer = Brewer(draw(shapes), 2000, draw(st.floats(20, 150)), Flow.OPEN)
    return Plan(dose_g, water_g, draw(st.floats(80, 95)), draw(st.floats(400, 1100)), brewer, tuple(steps))


@st.composite
def shut_brews(draw: st.DrawFn) -> Plan:
    """All water in by 40 s behind a shut valve; whatever follows counts from the opening."""
    dose_g = draw(st.floats(10, 30))
    first_g = dose_g * draw(st.floats(4, 9))
    steps = (
        Step(Action.POUR, 0, draw(st.floats(10, 40)), first_g),
        Step(Action.OPEN, 45, 45),
        Step(Action.POUR, 10, draw(st.floats(15, 40)), dose_g * draw(st.floats(10, 16)), Anchor.OPENED),
    )
    brewer = Brewer(Cone(30, 10), 2000, 60, Flow.VALVE)
    grind_um = draw(st.floats(400, 1100))
    return Plan(
        dose_g, steps[2].target_g or 1, draw(st.floats(80, 95)), grind_um, brewer, steps, valve_shut_at_start=True
    )


FLOW_FACTORS = st.floats(0.5, 2)
MORE = st.floats(1.05, 1.6)


def drained(plan: Plan, flow_factor: float = 1.0) -> float:
    course = simulate(plan, flow_factor=flow_factor)
    assume(course.outcome is Outcome.DRAINED)
    assert course.drained_s is not None
    return course.drained_s


@given(open_brews(), FLOW_FACTORS, MORE)
def test_finer_is_slower(plan: Plan, flow_factor: float, times: float) -> None:
    finer = replace(plan, grind_um=plan.grind_um / times)
    assert drained(finer, flow_factor) >= drained(plan, flow_factor) - SLACK_S


@given(open_brews(), FLOW_FACTORS, st.floats(1, 5))
def test_hotter_is_faster(plan: Plan, flow_factor: float, by_c: float) -> None:
    hotter = replace(plan, kettle_c=plan.kettle_c + by_c)
    assert drained(hotter, flow_factor) <= drained(plan, flow_factor) + SLACK_S


@given(open_brews(CONES), FLOW_FACTORS, MORE)
def test_more_dose_at_the_same_brew_ratio_is_slower(plan: Plan, flow_factor: float, times: float) -> None:
    # of cones: over a basket's flat paper the head grows with the water, and a larger brew stays hotter
    steps = tuple(replace(step, target_g=(step.target_g or 0) * times) for step in plan.steps)
    more = replace(plan, dose_g=plan.dose_g * times, water_g=plan.water_g * times, steps=steps)
    assert drained(more, flow_factor) >= drained(plan, flow_factor) - SLACK_S


@given(open_brews(), FLOW_FACTORS, MORE)
def test_a_coffee_that_flows_better_is_faster(plan: Plan, flow_factor: float, times: float) -> None:
    assert drained(plan, flow_factor * times) <= drained(plan, flow_factor) + SLACK_S


@given(shut_brews(), FLOW_FACTORS, st.floats(1, 120))
def test_later_opening_means_later_first_drip_and_longer_first_contact(
    plan: Plan, flow_factor: float, later_s: float
) -> None:
    moved = Step(Action.OPEN, 45 + later_s, 45 + later_s)
    later = replace(plan, steps=(plan.steps[0], moved, plan.steps[2]))
    one, other = simulate(plan, flow_factor=flow_factor), simulate(later, flow_factor=flow_factor)
    assert (other.first_drip_s or 0) > (one.first_drip_s or 0)
    assume(one.first_contact_s is not None and other.first_contact_s is not None)
    # the first 30 g may hold water of the later pour, which counts from the opening in both
    assert (other.first_contact_s or 0) > (one.first_contact_s or 0)


@given(open_brews(), FLOW_FACTORS)
def test_water_is_kept_and_times_are_in_order(plan: Plan, flow_factor: float) -> None:
    course: Course = simulate(plan, flow_factor=flow_factor)
    assume(course.outcome is Outcome.DRAINED)
    last = course.points[-1]
    assert abs(last.poured_g - last.free_g - last.absorbed_g - last.drained_g) < 1e-6
    assert course.soaked_s is not None
    assert course.first_drip_s is not None
    assert course.drained_s is not None
    assert course.soaked_s <= course.first_drip_s
    assert course.drained_s >= plan.steps[-1].end_s
    assert course.first_contact_s is None or 0 < course.first_contact_s < course.drained_s


@given(open_brews(), st.floats(2, 4))
def test_halving_the_step_moves_the_drained_time_by_less_than_half_a_second(plan: Plan, slower: float) -> None:
    whole, half = (simulate(plan, flow_factor=1 / slower, step_s=step_s).drained_s for step_s in (0.25, 0.125))
    assume(whole is not None and half is not None)
    assert abs((whole or 0) - (half or 0)) < 0.5
