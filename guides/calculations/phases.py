"""From steps on the clock to stretches of the brew in which the hands change nothing."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from .constants import LONGEST_PLAN_S
from .plan import Action, Plan, Step
from .thermal import stream_loss_c
from .validity import OutOfRange, check_range
from .vessel import Flow

_MOVES_WATER = (Action.POUR, Action.OPEN, Action.SHUT, Action.DECANT)


@dataclass(frozen=True)
class Phase:
    """A stretch of even pouring, or none, with the way out open or shut.

    ``at_once_g`` is poured the moment it begins. ``ends_when_drained`` lets it end before ``until_s``.
    """

    until_s: float
    pour_g_s: float = 0.0
    stream_loss_c: float = 0.0
    is_open: bool = True
    at_once_g: float = 0.0
    ends_when_drained: bool = False


@dataclass(frozen=True)
class _Pour:
    start_s: float
    end_s: float
    grams: float
    loss_c: float


def moves_water(step: Step) -> bool:
    """Tell whether a step changes what is in the vessel: water in, valve, decanting.

    Args:
        step: one act of a plan.

    Returns:
        True for a pour, a turn of the valve and decanting.

    Valid range: any step.
    Source: definition.

    >>> moves_water(Step(Action.STIR, 65, 68))
    False
    """
    return step.action in _MOVES_WATER


def phases(plan: Plan) -> tuple[Phase, ...]:
    """Cut a plan at every moment something is begun or ended.

    Args:
        plan: the brew, every step's times counting from the start.

    Returns:
        Phases in order, from 0 s to the last pour or turn of a valve; the last phase lasts no time.

    Raises:
        OutOfRange: no pour, a pour without a target or with a falling one, overlapping pours, a step that ends before
            it starts or past the longest plan.

    Valid range: steps within two hours.
    Source: arithmetic.

    >>> from .vessel import Brewer, Cone
    >>> cone = Brewer(Cone(30, 10), 500, 60, Flow.OPEN)
    >>> plan = Plan(15, 240, 93, 700, cone, (Step(Action.POUR, 0, 10, 50), Step(Action.POUR, 40, 78, 240)))
    >>> [(phase.until_s, phase.pour_g_s) for phase in phases(plan)]
    [(10, 5.0), (40, 0.0), (78, 5.0), (78, 0.0)]
    """
    steps = [step for step in plan.steps if moves_water(step) and step.action is not Action.DECANT]
    pours = _pours(steps)
    moments = sorted({0.0, *(step.start_s for step in steps), *(step.end_s for step in steps)})
    cut: list[Phase] = []
    for start, end in pairwise([*moments, moments[-1]]):
        pour = next((pour for pour in pours if pour.start_s <= start < pour.end_s), None)
        now = next((pour for pour in pours if pour.start_s == start == pour.end_s), None)
        cut.append(
            Phase(
                end,
                pour.grams / (pour.end_s - pour.start_s) if pour else 0.0,
                pour.loss_c if pour else now.loss_c if now else 0.0,
                is_open_at(plan, start),
                now.grams if now else 0.0,
            )
        )
    return tuple(cut)


def is_open_at(plan: Plan, time_s: float) -> bool:
    """Tell whether liquid can leave the vessel at a moment.

    Args:
        plan: the brew, every step's times counting from the start.
        time_s: clock seconds.

    Returns:
        True if paper, or an open valve, lets it out.

    Valid range: any time.
    Source: definition.

    >>> from .vessel import Brewer, Cone
    >>> is_open_at(Plan(15, 240, 93, 700, Brewer(Cone(30, 10), 500, 60, Flow.OPEN), ()), 0)
    True
    """
    if plan.brewer.flow is not Flow.VALVE:
        return plan.brewer.flow is Flow.OPEN
    is_open = not plan.valve_shut_at_start
    turns = [step for step in plan.steps if step.action in (Action.OPEN, Action.SHUT) and step.start_s <= time_s]
    for step in sorted(turns, key=lambda step: step.start_s):
        is_open = step.action is Action.OPEN
    return is_open


def _pours(steps: list[Step]) -> list[_Pour]:
    pours: list[_Pour] = []
    reading = free_from = 0.0
    for step in steps:
        check_range(
            "end_s", step.end_s, low=step.start_s, high=LONGEST_PLAN_S.value, reason="a step ends after it starts"
        )
        if step.action is not Action.POUR:
            continue
        if step.target_g is None:
            raise OutOfRange("target_g", float("nan"), low=reading, high=None, reason="a pour needs a scale target")
        check_range("target_g", step.target_g, above=reading, reason="targets are cumulative: each above the last")
        check_range("start_s", step.start_s, low=free_from, reason="one pour at a time, in order")
        pours.append(_Pour(step.start_s, step.end_s, step.target_g - reading, stream_loss_c(step.height)))
        reading, free_from = step.target_g, step.end_s
    if not pours:
        raise OutOfRange("steps", 0, low=1, high=None, reason="a brew needs a pour")
    return pours
