"""From a measured drained time to the flow factor of a brew, and from what is known of it to the next brew's times."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from .constants import (
    DRIP_FALLS_S,
    DRIP_LATEST_S,
    DRIP_SOONEST_S,
    RETENTION,
    UPTAKE_S,
    Z_90,
)
from .drawdown import Course, Outcome, simulate
from .learnt_flow import FASTEST, SLOWEST, new_brew_factor, posterior
from .plan import Action, Plan
from .rounding import round_half_up, to_five_seconds
from .validity import OutOfRange, Window, check_range

_LOG_SLOWEST, _LOG_FASTEST = math.log(SLOWEST), math.log(FASTEST)
_CLOSE_S = 0.05
_CLOSE_LOG = 1e-6
_NO_FACTOR = "no coffee drains this plan then: was it brewed as written?"


def factor_from_drained_time(
    plan: Plan, drained_s: float, *, retention_g_g: float = RETENTION.value, room_c: float = 20.0
) -> float:
    """Learn the flow factor of one trial brew from when it had drained: a bracketed root search.

    Args:
        plan: the plan as brewed.
        drained_s: measured clock seconds until the last free water was gone.
        retention_g_g: liquid the wet grounds kept in g/g.
        room_c: temperature of the room in degrees C.

    Returns:
        Flow factor with which the simulation drains at that moment, to 0.05 s.

    Raises:
        OutOfRange: no flow factor makes this plan drain then, or the plan cannot be simulated.

    Valid range: whatever flow factors 0.05 to 20 give.
    Source: as ``drawdown.simulate``.

    >>> from .drawdown import simulate
    >>> from .plan import Step
    >>> from .vessel import Brewer, Cone, Flow
    >>> cone = Brewer(Cone(30, 10), 500, 60, Flow.OPEN)
    >>> plan = Plan(15, 240, 93, 700, cone, (Step(Action.POUR, 0, 30, 240),))
    >>> round(factor_from_drained_time(plan, simulate(plan, flow_factor=0.8).drained_s or 0), 3)
    0.8
    """
    check_range("drained_s", drained_s, above=0, reason="a measured time")

    def late_s(log_factor: float) -> float:
        course = simulate(plan, flow_factor=math.exp(log_factor), retention_g_g=retention_g_g, room_c=room_c)
        if course.outcome is Outcome.STILL_DRAINING:
            return course.points[-1].time_s - drained_s
        return _drained_s(course) - drained_s

    return math.exp(_falling_root(late_s, drained_s))


def _falling_root(late_s: Callable[[float], float], drained_s: float) -> float:
    """Bracket from the reference coffee outwards, then close in (false position, Illinois variant)."""
    left = right = 0.0
    late_left = late_right = late_s(0.0)
    reach = 0.25
    while late_left < 0 or late_right > 0:
        if late_left < 0:
            if left <= _LOG_SLOWEST:
                raise OutOfRange("drained_s", drained_s, low=None, high=drained_s + late_left, reason=_NO_FACTOR)
            right, late_right = left, late_left
            left = max(left - reach, _LOG_SLOWEST)
            late_left = late_s(left)
        else:
            if right >= _LOG_FASTEST:
                raise OutOfRange("drained_s", drained_s, low=drained_s + late_right, high=None, reason=_NO_FACTOR)
            left, late_left = right, late_right
            right = min(right + reach, _LOG_FASTEST)
            late_right = late_s(right)
        reach *= 2
    while right - left > _CLOSE_LOG:
        middle = left + (right - left) * late_left / (late_left - late_right) if late_left > late_right else left
        late = late_s(middle)
        if abs(late) < _CLOSE_S:
            return middle
        if late > 0:
            left, late_left, late_right = middle, late, late_right / 2
        else:
            right, late_right, late_left = middle, late, late_left / 2
    return (left + right) / 2


def drain_window(
    plan: Plan,
    factors: Sequence[float] = (),
    *,
    other_lots: Sequence[Sequence[float]] = (),
    retention_g_g: float = RETENTION.value,
    room_c: float = 20.0,
    likely: Course | None = None,
) -> Window:
    """Predict when the next brew of a coffee will have drained.

    Args:
        plan: the brew.
        factors: flow factor of each trial brew of this lot so far.
        other_lots: the same of each other lot of the coffee.
        retention_g_g: liquid the wet grounds keep in g/g.
        room_c: temperature of the room in degrees C.
        likely: the course at the likely flow factor, if it has been simulated already.

    Returns:
        10th percentile, median and 90th percentile in clock seconds, each rounded to 5 s.

    Raises:
        OutOfRange: the plan never drains, or cannot be simulated.

    Valid range: as ``drawdown.simulate``.
    Source: normal posterior predictive over the simulation.

    >>> from .plan import Step
    >>> from .vessel import Brewer, Cone, Flow
    >>> cone = Brewer(Cone(30, 10), 500, 60, Flow.OPEN)
    >>> plan = Plan(15, 240, 93, 700, cone, (Step(Action.POUR, 0, 30, 240),))
    >>> wide, narrow = drain_window(plan), drain_window(plan, [1.0] * 20)
    >>> wide.low < narrow.low < narrow.likely < narrow.high < wide.high
    True
    """
    factor = new_brew_factor(factors, other_lots)

    def at(flow_factor: float) -> Course:
        return simulate(plan, flow_factor=flow_factor, retention_g_g=retention_g_g, room_c=room_c)

    fast, middle, slow = (
        to_five_seconds(_drained_s(course)) for course in (at(factor.high), likely or at(factor.likely), at(factor.low))
    )
    return Window(fast, middle, slow, factor.trials)


def first_drip_window(
    plan: Plan,
    factors: Sequence[float] = (),
    *,
    other_lots: Sequence[Sequence[float]] = (),
    retention_g_g: float = RETENTION.value,
    room_c: float = 20.0,
    likely: Course | None = None,
) -> Window:
    """Predict when the first drop of a brew will be seen.

    An opened valve drips within seconds; an open cone when its bed is soaked, which coffees differ in. Not to 5 s, but
    to whole seconds: a shut valve is told from a leaking one by less.

    Args:
        plan: the brew.
        factors: flow factor of each trial brew of this lot so far.
        other_lots: the same of each other lot of the coffee.
        retention_g_g: liquid the wet grounds keep in g/g.
        room_c: temperature of the room in degrees C.
        likely: the course at the likely flow factor, if it has been simulated already.

    Returns:
        Earliest, likely and latest clock seconds, rounded to whole seconds.

    Raises:
        OutOfRange: nothing ever drips, or the plan cannot be simulated.

    Valid range: as ``drawdown.simulate``.
    Source: common practice, no source (1 to 5 s after opening); uptake own default.

    >>> from .plan import Step
    >>> from .vessel import Brewer, Cone, Flow
    >>> cone = Brewer(Cone(30, 10), 500, 35, Flow.VALVE)
    >>> steps = (Step(Action.POUR, 0, 15, 150), Step(Action.OPEN, 60, 60))
    >>> first_drip_window(Plan(15, 150, 93, 700, cone, steps, valve_shut_at_start=True))
    Window(low=61.0, likely=62.0, high=65.0, trials=0)
    """
    known = posterior(factors, other_lots)
    course = likely or simulate(plan, flow_factor=known.factor, retention_g_g=retention_g_g, room_c=room_c)
    if course.first_drip_s is None or course.soaked_s is None:
        raise OutOfRange("first_drip_s", math.inf, low=0, high=None, reason=f"nothing drips: {course.outcome}")
    runs_s = course.first_drip_s - DRIP_FALLS_S.value
    pours = [
        time.start_s
        for step, time in zip(plan.steps, course.timeline.times, strict=True)
        if step.action is Action.POUR and time.start_s <= course.soaked_s
    ]
    soaking_s = (course.soaked_s - max(pours)) * Z_90 * UPTAKE_S.uncertainty / UPTAKE_S.value
    opened_s = runs_s if course.soaked_s < runs_s - _CLOSE_S else 0.0
    return Window(
        round_half_up(max(course.soaked_s - soaking_s, opened_s) + DRIP_SOONEST_S.value),
        round_half_up(course.first_drip_s),
        round_half_up(max(course.soaked_s + soaking_s, opened_s) + DRIP_LATEST_S.value),
        known.trials,
    )


def _drained_s(course: Course) -> float:
    if course.outcome is not Outcome.DRAINED or course.drained_s is None:
        raise OutOfRange("drained_s", math.inf, low=0, high=None, reason=f"it never drains: {course.outcome}")
    return course.drained_s
