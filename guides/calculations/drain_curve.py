"""Drained time against flow factor for one plan: looked at once, then read off for any number of trials.

A simulation takes milliseconds, and a page that draws a window for each of two hundred trials has not got them. Nor has
it the time for factors that none of them came near: only the stretch that will be read is simulated.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from dataclasses import dataclass

from .constants import RETENTION
from .drawdown import Outcome, simulate
from .plan import Plan
from .validity import OutOfRange, check_range

_SLOWEST, _FASTEST = 0.25, 4.0
_STEP = math.log(_FASTEST / _SLOWEST) / 28


@dataclass(frozen=True)
class DrainCurve:
    """Rising logarithms of flow factors and the falling drained times in s that go with them."""

    log_factors: tuple[float, ...]
    drained_s: tuple[float, ...]

    def at(self, factor: float) -> float:
        """Give the drained time in s at a flow factor; at the nearest end outside the curve."""
        log = math.log(factor)
        right = min(max(bisect_left(self.log_factors, log), 1), len(self.log_factors) - 1)
        low, high = self.log_factors[right - 1 : right + 1]
        share = min(max((log - low) / (high - low), 0.0), 1.0)
        return self.drained_s[right - 1] + share * (self.drained_s[right] - self.drained_s[right - 1])


def drain_curve(
    plan: Plan,
    *,
    slowest: float = _SLOWEST,
    fastest: float = _FASTEST,
    retention_g_g: float = RETENTION.value,
    room_c: float = 20.0,
    step_s: float = 0.5,
) -> DrainCurve:
    """Simulate a plan over the flow factors that coffees have.

    Args:
        plan: the brew.
        slowest: least flow factor that will be read off.
        fastest: greatest flow factor that will be read off.
        retention_g_g: liquid the wet grounds keep in g/g.
        room_c: temperature of the room in degrees C.
        step_s: time step of the simulation in s.

    Returns:
        The curve over the factors to be read, as far as they are in the valid range and drain within half an hour. Its
        points are at the same factors however much of it is asked for, so that what is read off is the same too.

    Raises:
        OutOfRange: the factors are no stretch, it hardly ever drains, or cannot be simulated.

    Valid range: flow factors 0.25 to 4.
    Source: drawdown.simulate.

    >>> from .plan import Action, Step
    >>> from .vessel import Brewer, Cone, Flow
    >>> cone = Brewer(Cone(30, 10), 500, 60, Flow.OPEN)
    >>> curve = drain_curve(Plan(15, 240, 93, 700, cone, (Step(Action.POUR, 0, 30, 240),)))
    >>> curve.at(0.8) > curve.at(1.0) > curve.at(1.25)
    True
    """
    check_range("fastest", fastest, above=slowest, reason="a curve goes from a slower coffee to a faster one")
    first, last = (math.log(min(max(each, _SLOWEST), _FASTEST) / _SLOWEST) / _STEP for each in (slowest, fastest))
    found = []
    for index in range(math.floor(first), max(math.ceil(last), math.floor(first) + 1) + 1):
        log = math.log(_SLOWEST) + _STEP * index
        course = simulate(plan, flow_factor=math.exp(log), retention_g_g=retention_g_g, room_c=room_c, step_s=step_s)
        if course.outcome is Outcome.DRAINED and course.drained_s is not None:
            found.append((log, course.drained_s))
    if len(found) < 2:
        raise OutOfRange("drained_s", math.inf, low=0, high=None, reason="it hardly ever drains")
    return DrainCurve(*zip(*found, strict=True))
