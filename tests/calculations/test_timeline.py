"""Anchors become clock times; what never comes is named."""

from dataclasses import replace

import pytest

from guides.calculations.plan import Action, Anchor, Plan, Step
from guides.calculations.timeline import Events, StepTime, on_the_clock, poured_by, resolve

from .demo_plans import ROPE_WALK_S, TIDEGATE_S

STEPS = (
    Step(Action.POUR, 0, 12, 60),
    Step(Action.POUR, 28, 40, 120, Anchor.PREVIOUS),
    Step(Action.OPEN, 75, 75),
    Step(Action.POUR, 10, 30, 180, Anchor.OPENED),
    Step(Action.STIR, 5, 8, None, Anchor.FIRST_DRIP),
    Step(Action.SWIRL, 0, 4, None, Anchor.PREVIOUS),
    Step(Action.ADD_BYPASS, 5, 15, 240, Anchor.DRAINED),
)
PLAN = Plan(15, 180, 92, 740, TIDEGATE_S, STEPS, bypass_g=60, valve_shut_at_start=True)


def test_every_anchor():
    found = resolve(PLAN, lambda part: Events(77, 190))
    assert found.never == ()
    assert found.times == (
        StepTime(0, 12, False),
        StepTime(40, 52, False),
        StepTime(75, 75, False),
        StepTime(85, 105, False),
        StepTime(82, 85, True),
        StepTime(85, 89, True),
        StepTime(195, 205, True),
    )


def test_the_brew_is_asked_with_the_steps_above_only_all_on_the_clock():
    asked = []

    def look(part: Plan) -> Events:
        asked.append(part)
        return Events(77, 190)

    resolve(PLAN, look)
    assert [len(part.steps) for part in asked] == [4, 6]
    assert all(step.anchor is Anchor.START for part in asked for step in part.steps)


def test_what_never_comes_is_named_and_follows_the_step_above():
    steps = (Step(Action.POUR, 0, 12, 60), Step(Action.POUR, 10, 30, 180, Anchor.OPENED))
    found = resolve(replace(PLAN, steps=steps), lambda part: Events())
    assert found.never == (1,)
    assert found.times[1] == StepTime(22, 42, True)


def test_previous_of_the_first_step_is_the_start():
    steps = (Step(Action.POUR, 3, 12, 60, Anchor.PREVIOUS),)
    assert resolve(replace(PLAN, steps=steps), lambda part: Events()).times == (StepTime(3, 12, False),)


def test_on_the_clock_changes_times_only():
    times = resolve(ROPE_WALK_S, lambda part: Events(77, 190)).times
    timed = on_the_clock(ROPE_WALK_S, times)
    assert [step.action for step in timed.steps] == [step.action for step in ROPE_WALK_S.steps]
    assert timed.steps[-1].start_s == 190
    assert replace(timed, steps=()) == replace(ROPE_WALK_S, steps=())


@pytest.mark.parametrize(("time_s", "poured"), [(0, 0), (6, 30), (12, 60), (39, 60), (50, 90), (60, 120), (500, 180)])
def test_scale_reading(time_s, poured):
    assert poured_by(ROPE_WALK_S.steps, time_s) == pytest.approx(poured)
