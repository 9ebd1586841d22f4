"""Late steps: what moves with them, and which way the brew goes."""

import pytest

from guides.calculations.lateness import BANDS_S, late, late_bands, left_open, moved
from guides.calculations.plan import Action, Anchor, Plan, Step
from guides.calculations.timeline import Events, resolve
from guides.calculations.validity import OutOfRange

from .demo_plans import DEMO, OUTER_MARK, ROPE_WALK_S, TIDEGATE_S, WINTER_KEEL


def clock(plan: Plan) -> list[tuple[float, float]]:
    times = resolve(plan, lambda _: Events(first_drip_s=80, drained_s=200)).times
    return [(time.start_s, time.end_s) for time in times]


def test_later_steps_follow_what_they_hang_on():
    """By hand: opened 20 s late; the pour counted from the start and the one counted from the opening move along, the
    one that waits for the last drop does not."""
    steps = (
        Step(Action.POUR, 0, 12, 60),
        Step(Action.OPEN, 75, 75),
        Step(Action.POUR, 85, 95, 90),
        Step(Action.POUR, 30, 40, 120, Anchor.OPENED),
        Step(Action.SWIRL, 2, 4, None, Anchor.PREVIOUS),
        Step(Action.ADD_BYPASS, 0, 10, 180, Anchor.DRAINED),
    )
    plan = Plan(15, 120, 92, 740, TIDEGATE_S, steps, bypass_g=60, valve_shut_at_start=True)
    before, after = clock(plan), clock(moved(plan, 1, 20))
    assert [now[0] - then[0] for then, now in zip(before, after, strict=True)] == [0, 20, 20, 20, 20, 0]


@pytest.mark.parametrize("name", DEMO)
def test_what_is_over_does_not_move(name: str):
    plan = DEMO[name][0]
    for step in range(len(plan.steps)):
        assert moved(plan, step, 30).steps[:step] == plan.steps[:step]
    assert moved(plan, 0, 0) == plan


def test_a_valve_opened_late_steeps_as_much_longer():
    """Everything poured waits out the delay: the cup's water is with the coffee longer by nearly all of it."""
    steps = (Step(Action.POUR, 0, 20, 180), Step(Action.OPEN, 75, 75))
    plan = Plan(15, 180, 92, 740, TIDEGATE_S, steps, valve_shut_at_start=True)
    assert late(plan, 1, 30).longer_s == pytest.approx(30, abs=2)
    assert late(plan, 1, 30).drained_later_s == pytest.approx(30, abs=3)


def test_later_is_later():
    for step in range(4):
        effects = [band.effect.drained_later_s for band in late_bands(OUTER_MARK, step)]
        assert effects == sorted(effects)
    assert [band.to_s for band in late_bands(OUTER_MARK, 0)] == list(BANDS_S)


def test_a_swirl_moves_no_water():
    assert late(OUTER_MARK, 4, 40).longer_s == 0


def test_a_valve_left_open_shortens_the_meeting():
    effect = left_open(ROPE_WALK_S)
    assert effect.longer_s < -5
    assert effect.drained_later_s < 0
    with pytest.raises(OutOfRange):
        left_open(WINTER_KEEL)


@pytest.mark.parametrize(("step", "late_s"), [(-1, 5), (9, 5), (0, -1), (0, 4000), (0, float("nan"))])
def test_refuses_what_cannot_be(step: int, late_s: float):
    with pytest.raises(OutOfRange):
        moved(ROPE_WALK_S, step, late_s)
