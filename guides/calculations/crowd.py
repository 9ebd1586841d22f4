"""What many people's brews of one plan say together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from .validity import check_range

_MOST_S = 7200


@dataclass(frozen=True)
class Drained:
    """One brew: when it had drained, and the window that its own plan gave, in seconds on its clock."""

    time_s: float
    low_s: float | None = None
    high_s: float | None = None


@dataclass(frozen=True)
class Gathered:
    """Brews together: how many, their middle time, and how many fell before, in and after their own windows.

    Those without a window are in ``count`` and ``middle_s`` alone.
    """

    count: int
    middle_s: float
    before: int
    within: int
    after: int


def gather(brews: Sequence[Drained]) -> Gathered:
    """Count brews against their own windows.

    Args:
        brews: one or more; another dose or brewer has another window than the guide's, and is held to its own.

    Returns:
        Their number, median and counts.

    Raises:
        OutOfRange: no brew, or a time that no brew takes.

    Valid range: 1 brew and up, times 0 to 7200 s.
    Source: definition.

    >>> gather([Drained(170, 165, 190), Drained(200, 165, 190), Drained(180, 165, 190)])
    Gathered(count=3, middle_s=180, before=0, within=2, after=1)
    """
    check_range("brews", len(brews), low=1, high=1_000_000, reason="a crowd has somebody in it")
    for brew in brews:
        check_range("time_s", brew.time_s, low=0, high=_MOST_S, reason="a brew is over by then")
    judged = [brew for brew in brews if brew.low_s is not None and brew.high_s is not None]
    before = sum(brew.time_s < (brew.low_s or 0) for brew in judged)
    after = sum(brew.time_s > (brew.high_s or 0) for brew in judged)
    return Gathered(len(brews), median(brew.time_s for brew in brews), before, len(judged) - before - after, after)
