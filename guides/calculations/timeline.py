"""From anchors to the clock: when each step of a plan happens."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from .plan import Action, Anchor, Plan, Step


@dataclass(frozen=True)
class StepTime:
    """Clock seconds of a step; ``predicted`` when it waits, directly or not, for the coffee to drip or drain."""

    start_s: float
    end_s: float
    predicted: bool


@dataclass(frozen=True)
class Events:
    """What the coffee does by itself, in clock seconds; ``None`` while it has not happened."""

    first_drip_s: float | None = None
    drained_s: float | None = None


@dataclass(frozen=True)
class Timeline:
    """Clock seconds of every step, and the indices of steps that wait for a moment that never comes before them."""

    times: tuple[StepTime, ...]
    never: tuple[int, ...] = ()


def resolve(plan: Plan, look: Callable[[Plan], Events]) -> Timeline:
    """Give every step its clock time, asking ``look`` what the brew so far does where a step waits for that.

    Args:
        plan: the brew.
        look: gives the events of a plan that holds only the steps above, all anchored to the start.

    Returns:
        Clock seconds, one per step. A step whose moment never comes follows the step above it, and is named.

    Source: arithmetic.

    >>> from .vessel import Brewer, Cone, Flow
    >>> cone = Brewer(Cone(30, 10), 500, 60, Flow.OPEN)
    >>> steps = (Step(Action.POUR, 0, 15, 60), Step(Action.POUR, 30, 50, 240, Anchor.PREVIOUS))
    >>> resolve(Plan(15, 240, 93, 700, cone, steps), lambda plan: Events()).times[1]
    StepTime(start_s=45.0, end_s=65.0, predicted=False)
    """
    times: list[StepTime] = []
    never: list[int] = []
    for index, step in enumerate(plan.steps):
        base = _base(plan, times, look)
        if base is None:
            never.append(index)
            base = (times[-1].end_s if times else 0.0), True
        times.append(StepTime(base[0] + step.start_s, base[0] + step.end_s, base[1]))
    return Timeline(tuple(times), tuple(never))


def _base(plan: Plan, times: list[StepTime], look: Callable[[Plan], Events]) -> tuple[float, bool] | None:
    """Clock seconds of the anchor of the step after ``times``, and whether they are predicted."""
    match plan.steps[len(times)].anchor:
        case Anchor.START:
            return 0.0, False
        case Anchor.PREVIOUS:
            return (times[-1].end_s, times[-1].predicted) if times else (0.0, False)
        case Anchor.OPENED:
            opened = [time for step, time in zip(plan.steps, times, strict=False) if step.action is Action.OPEN]
            return (opened[-1].start_s, opened[-1].predicted) if opened else None
        case event:
            events = look(on_the_clock(plan, times))
            moment = events.first_drip_s if event is Anchor.FIRST_DRIP else events.drained_s
            return None if moment is None else (moment, True)


def on_the_clock(plan: Plan, times: list[StepTime] | tuple[StepTime, ...]) -> Plan:
    """Rewrite the first steps of a plan so that all their times count from the start.

    Args:
        plan: the brew.
        times: clock seconds of its first steps.

    Returns:
        A plan of as many steps as there are times.

    Source: arithmetic.

    >>> from .vessel import Brewer, Cone, Flow
    >>> cone = Brewer(Cone(30, 10), 500, 60, Flow.OPEN)
    >>> plan = Plan(15, 60, 93, 700, cone, (Step(Action.POUR, 0, 15, 60, Anchor.PREVIOUS),))
    >>> on_the_clock(plan, [StepTime(0, 15, False)]).steps[0].anchor
    <Anchor.START: 'start'>
    """
    steps = tuple(
        replace(step, anchor=Anchor.START, start_s=time.start_s, end_s=time.end_s)
        for step, time in zip(plan.steps, times, strict=False)
    )
    return replace(plan, steps=steps)


def poured_by(steps: tuple[Step, ...], time_s: float) -> float:
    """Give the scale reading from pours at a moment, for steps on the clock; each pour runs evenly.

    Args:
        steps: steps whose times count from the start.
        time_s: clock seconds.

    Returns:
        Water poured so far in g.

    Source: arithmetic.

    >>> poured_by((Step(Action.POUR, 0, 10, 50), Step(Action.POUR, 20, 30, 100)), 25)
    75.0
    """
    poured = 0.0
    for step in steps:
        if step.action is not Action.POUR or step.target_g is None or step.start_s > time_s:
            continue
        if step.end_s <= time_s:
            poured = step.target_g
        else:
            poured += (step.target_g - poured) * (time_s - step.start_s) / (step.end_s - step.start_s)
    return poured
