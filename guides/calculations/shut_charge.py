"""What the brewer holds at each moment of a brew, and whether that is too much."""

from __future__ import annotations

import math
from collections.abc import Sequence

from .constants import SHUT_MARGIN
from .findings import caution, refusal
from .plan import Action, Plan, Step
from .slurry import Point
from .validity import Caution
from .vessel import Flow
from .what_fits import split


def shut_periods(steps: Sequence[Step], shut_at_start: bool) -> tuple[tuple[float, float], ...]:
    """Give the clock seconds between which the valve is shut; the last may never end.

    Args:
        steps: steps whose times count from the start.
        shut_at_start: whether the valve is shut before the first pour.

    Returns:
        Pairs of seconds.

    Source: definition.

    >>> shut_periods((Step(Action.OPEN, 75, 75), Step(Action.SHUT, 90, 90)), True)
    ((0.0, 75), (90, inf))
    """
    periods: list[tuple[float, float]] = []
    since: float | None = 0.0 if shut_at_start else None
    for step in steps:
        if step.action is Action.OPEN and since is not None:
            periods.append((since, step.start_s))
            since = None
        elif step.action is Action.SHUT and since is None:
            since = step.start_s
    if since is not None:
        periods.append((since, math.inf))
    return tuple(periods)


def shut_charge_g(points: Sequence[Point], periods: Sequence[tuple[float, float]]) -> float:
    """Give the most water the brewer holds above the shut valve.

    Args:
        points: course of the brew.
        periods: clock seconds between which the valve is shut.

    Returns:
        Water in g, whether free or soaked up; 0 where the valve is never shut.

    Source: definition.

    >>> point = Point(10, 60, 5, 50, 5, 40, 0, 90, 92)
    >>> shut_charge_g([point], [(0, 75)])
    55
    """
    return most_held_g([point for point in points if any(a <= point.time_s <= b for a, b in periods)])


def most_held_g(points: Sequence[Point]) -> float:
    """Give the most water the brewer holds at any moment.

    Args:
        points: course of the brew, or a part of it.

    Returns:
        Water in g, whether free or soaked up; 0 for no points.

    Source: definition.

    >>> most_held_g([Point(10, 60, 5, 50, 5, 40, 0, 90, 92), Point(20, 60, 15, 40, 5, 40, 0, 90, 92)])
    55
    """
    return max((_held_g(point) for point in points), default=0.0)


def held_findings(
    plan: Plan, points: Sequence[Point], charge_g: float, limit_g: float, overflow_s: float | None
) -> tuple[Caution, ...]:
    """Find where a plan overfills its brewer, with the split that would fit.

    Args:
        plan: the brew.
        points: its course.
        charge_g: most water above the shut valve in g.
        limit_g: most the brewer may hold, as shown, in g.
        overflow_s: clock seconds of the first overflow, if any.

    Returns:
        A refusal, a caution, or nothing.

    Source: own default.

    >>> from .vessel import Brewer, Cone
    >>> plan = Plan(15, 240, 92, 740, Brewer(Cone(30, 10), 240, 35, Flow.VALVE), ())
    >>> held_findings(plan, (), 240, 190, 60)[0].numbers["bypass_g"]
    50.0
    """
    most_g = max(most_held_g(points), charge_g)
    near_g = limit_g * (1 - SHUT_MARGIN.value)
    if plan.brewer.flow is Flow.VALVE and charge_g > limit_g:
        fits = split(plan.water_g, plan.bypass_g, charge_g, limit_g)
        return (
            refusal(
                "overflows_shut",
                limit_g=limit_g,
                charge_g=charge_g,
                water_g=float(fits.water_g),
                bypass_g=float(fits.bypass_g),
            ),
        )
    if overflow_s is not None:
        return (refusal("overflows", overflow_s=overflow_s, held_g=most_g, limit_g=limit_g),)
    if plan.brewer.flow is Flow.VALVE and charge_g > near_g:
        return (caution("near_shut_limit", limit_g=limit_g, charge_g=charge_g),)
    return (caution("near_limit", limit_g=limit_g, held_g=most_g),) if most_g > near_g else ()


def _held_g(point: Point) -> float:
    return round(point.free_g + point.absorbed_g, 6)  # what the integration leaves behind the sixth decimal is noise
