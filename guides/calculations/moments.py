"""What a course of points says: the moments a guide speaks of."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise

from .constants import A_DROP_G, DRIP_FALLS_S, FIRST_CONTACT_G
from .slurry import Point


def first_drip_s(points: Sequence[Point]) -> float | None:
    """Give when the first drop is seen: it leaves the bed, and falls."""
    crossed = _crossing(points, lambda point: point.drained_g, A_DROP_G.value)
    return None if crossed is None else _time_s(crossed) + DRIP_FALLS_S.value


def first_contact_s(points: Sequence[Point]) -> float | None:
    """Give how long the first 30 g were with the coffee, on average."""
    crossed = _crossing(points, lambda point: point.drained_g, FIRST_CONTACT_G.value)
    if crossed is None:
        return None
    before, after, share = crossed
    return (before.cup_age_g_s + share * (after.cup_age_g_s - before.cup_age_g_s)) / FIRST_CONTACT_G.value


def overflow_s(points: Sequence[Point], limit_g: float) -> float | None:
    """Give when the vessel first holds more water than fits."""
    crossed = _crossing(points, lambda point: point.free_g + point.absorbed_g, limit_g)
    return None if crossed is None else _time_s(crossed)


Crossing = tuple[Point, Point, float]


def _crossing(points: Sequence[Point], quantity: Callable[[Point], float], limit: float) -> Crossing | None:
    """Find the two points between which a quantity first passes a limit, and how far between them."""
    for before, after in pairwise(points):
        if quantity(after) > limit:
            low, high = quantity(before), quantity(after)
            return before, after, min(max((limit - low) / (high - low), 0.0), 1.0) if high > low else 0.0
    return None


def _time_s(crossing: Crossing) -> float:
    before, after, share = crossing
    return before.time_s + share * (after.time_s - before.time_s)
