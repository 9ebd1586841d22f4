"""A step done late, or a valve left open: what it does to the brew."""

from __future__ import annotations

from dataclasses import dataclass, replace

from .assessment import USUAL, Conditions
from .brewing import COARSE_S, likely_course
from .constants import LATE_KEPT_S
from .drawdown import Course
from .plan import Action, Anchor, Plan
from .validity import OutOfRange, check_range
from .vessel import Flow


@dataclass(frozen=True)
class Effect:
    """How a brew differs from its plan, in seconds; ``None`` where nothing drains.

    ``longer_s`` is by how much longer the water of the cup was with the coffee on average, ``drained_s`` when it has
    drained by the clock and ``drained_later_s`` by how much that is later. Negative: shorter, sooner.
    """

    longer_s: float | None
    drained_s: float | None
    drained_later_s: float | None


@dataclass(frozen=True)
class Band:
    """A lateness of up to ``to_s``, and what the middle of it does."""

    to_s: float
    effect: Effect


BANDS_S = (15.0, 30.0, 60.0)
"""Where bands of lateness end; later than the last, no prediction is given."""


def moved(plan: Plan, step: int, late_s: float) -> Plan:
    """Move a step, and with it every later one that counts from the start; the others follow what they hang on.

    Args:
        plan: the brew.
        step: index of the late step.
        late_s: by how much it is late, in s.

    Returns:
        The plan as it goes on.

    Raises:
        OutOfRange: no such step, or a lateness that is negative or over an hour.

    Valid range: 0 to 3600 s.
    Source: definition.

    >>> from .plan import Step
    >>> from .vessel import Brewer, Cone
    >>> cone = Brewer(Cone(30, 10), 500, 60, Flow.OPEN)
    >>> steps = (Step(Action.POUR, 0, 10, 48), Step(Action.POUR, 45, 60, 150), Step(Action.POUR, 75, 95, 252))
    >>> [each.start_s for each in moved(Plan(16, 252, 97, 660, cone, steps), 1, 20).steps]
    [0, 65, 95]
    """
    check_range("late_s", late_s, low=0, high=3600, reason="within one brew")
    if not 0 <= step < len(plan.steps):
        raise OutOfRange("step", step, low=0, high=len(plan.steps) - 1, reason="a step of the plan")
    steps = tuple(
        replace(each, start_s=each.start_s + late_s, end_s=each.end_s + late_s)
        if index == step or (index > step and each.anchor is Anchor.START)
        else each
        for index, each in enumerate(plan.steps)
    )
    return replace(plan, steps=steps)


def late(plan: Plan, step: int, late_s: float, conditions: Conditions = USUAL) -> Effect:
    """Give what a late step does to the brew.

    Args:
        plan: the brew.
        step: index of the late step.
        late_s: by how much it is late, in s.
        conditions: where it is brewed, and with which coffee.

    Returns:
        The effect.

    Raises:
        OutOfRange: as for ``moved`` and ``drawdown.simulate``.

    Valid range: as for ``drawdown.simulate``.
    Source: drawdown.simulate.

    >>> from .plan import Step
    >>> from .vessel import Brewer, Cone
    >>> cone = Brewer(Cone(30, 10), 240, 35, Flow.VALVE)
    >>> steps = (Step(Action.POUR, 0, 20, 180), Step(Action.OPEN, 75, 75))
    >>> round(late(Plan(15, 180, 92, 740, cone, steps, valve_shut_at_start=True), 1, 20).longer_s)
    20
    """
    return _effect(_course(plan, conditions), _course(moved(plan, step, late_s), conditions))


def late_bands(plan: Plan, step: int, conditions: Conditions = USUAL) -> tuple[Band, ...]:
    """Give what a late step does, by how late it is: from the lateness that moves nothing up to a minute.

    Args:
        plan: the brew.
        step: index of the late step.
        conditions: where it is brewed, and with which coffee.

    Returns:
        One row per band, the first beginning where the clock is no longer kept.

    Raises:
        OutOfRange: as for ``late``.

    Valid range: as for ``drawdown.simulate``.
    Source: drawdown.simulate; bands own defaults.

    >>> from .plan import Step
    >>> from .vessel import Brewer, Cone
    >>> cone = Brewer(Cone(30, 10), 240, 35, Flow.VALVE)
    >>> steps = (Step(Action.POUR, 0, 20, 180), Step(Action.OPEN, 75, 75))
    >>> plan = Plan(15, 180, 92, 740, cone, steps, valve_shut_at_start=True)
    >>> [band.to_s for band in late_bands(plan, 1)]
    [15.0, 30.0, 60.0]
    """
    begins = (LATE_KEPT_S.value, *BANDS_S)
    return tuple(
        Band(to_s, late(plan, step, (from_s + to_s) / 2, conditions))
        for from_s, to_s in zip(begins, BANDS_S, strict=False)
    )


def left_open(plan: Plan, conditions: Conditions = USUAL) -> Effect:
    """Give what a valve does that should have been shut and never was.

    Args:
        plan: a valve brew.
        conditions: where it is brewed, and with which coffee.

    Returns:
        The effect.

    Raises:
        OutOfRange: a brewer without a valve, or as for ``drawdown.simulate``.

    Valid range: as for ``drawdown.simulate``.
    Source: drawdown.simulate.

    >>> from .plan import Step
    >>> from .vessel import Brewer, Cone
    >>> cone = Brewer(Cone(30, 10), 240, 35, Flow.VALVE)
    >>> steps = (Step(Action.POUR, 0, 20, 180), Step(Action.OPEN, 75, 75))
    >>> left_open(Plan(15, 180, 92, 740, cone, steps, valve_shut_at_start=True)).longer_s < -30
    True
    """
    if plan.brewer.flow is not Flow.VALVE:
        raise OutOfRange("valve", 0, low=1, high=None, reason="only a valve can be left open")
    times = _course(plan, conditions).timeline.times
    opened = [
        replace(step, anchor=Anchor.START, start_s=time.start_s, end_s=time.end_s)
        if step.anchor in (Anchor.OPENED, Anchor.PREVIOUS)
        else step
        for step, time in zip(plan.steps, times, strict=True)
        if step.action not in (Action.OPEN, Action.SHUT)
    ]
    never_shut = replace(plan, steps=tuple(opened), valve_shut_at_start=False)
    return _effect(_course(plan, conditions), _course(never_shut, conditions))


def _course(plan: Plan, conditions: Conditions) -> Course:
    return likely_course(plan, conditions, COARSE_S)


def _effect(before: Course, after: Course) -> Effect:
    return Effect(
        _difference(after.cup_contact_s, before.cup_contact_s),
        after.drained_s,
        _difference(after.drained_s, before.drained_s),
    )


def _difference(after: float | None, before: float | None) -> float | None:
    return None if after is None or before is None else after - before
