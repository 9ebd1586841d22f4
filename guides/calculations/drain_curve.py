"""Drained time against flow factor for one plan: looked at once, then read off for any number of trials.

A simulation takes milliseconds, and a page that draws a window for each of two hundred trials has not got them.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from dataclasses import dataclass

from .constants import RETENTION
from .drawdown import Outcome, simulate
from .plan import Plan
from .validity import OutOfRange

_FROM, _TO, _STEPS = math.log(0.25), math.log(4.0), 28


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
    plan: Plan, *, retention_g_g: float = RETENTION.value, room_c: float = 20.0, step_s: float = 0.5
) -> DrainCurve:
    """Simulate a plan over the flow factors that coffees have.

    Args:
        plan: the brew.
        retention_g_g: liquid the wet grounds keep in g/g.
        room_c: temperature of the room in degrees C.
        step_s: time step of the simulation in s.

    Returns:
        The curve, from the slowest coffee that still drains within half an hour to the fastest.

    Raises:
        OutOfRange: it hardly ever drains, or cannot be simulated.

    Valid range: flow factors 0.25 to 4.
    Source: drawdown.simulate.

    >>> from .plan import Action, Step
    >>> from .vessel import Brewer, Cone, Flow
    >>> cone = Brewer(Cone(30, 10), 500, 60, Flow.OPEN)
    >>> curve = drain_curve(Plan(15, 240, 93, 700, cone, (Step(Action.POUR, 0, 30, 240),)))
    >>> curve.at(0.8) > curve.at(1.0) > curve.at(1.25)
    True
    """
    found = []
    for index in range(_STEPS + 1):
        log = _FROM + (_TO - _FROM) * index / _STEPS
        course = simulate(plan, flow_factor=math.exp(log), retention_g_g=retention_g_g, room_c=room_c, step_s=step_s)
        if course.outcome is Outcome.DRAINED and course.drained_s is not None:
            found.append((log, course.drained_s))
    if len(found) < 2:
        raise OutOfRange("drained_s", math.inf, low=0, high=None, reason="it hardly ever drains")
    return DrainCurve(*zip(*found, strict=True))
