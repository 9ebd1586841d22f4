"""Named rounding rules. Everything is computed in full; a number is rounded once, here, at the end.

Scale targets are cumulative. Each target is rounded, never an increment, and the last one is the water itself, so the
rounded pours always add up to the rounded water: what rounding leaves over lands in the last pour.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from .validity import OutOfRange, check_range

_HALF_UP = "a rounded number must be finite"


def round_half_up(value: float, step: float = 1.0) -> float:
    """Round to the nearest multiple of a step; halves go up, as on a kitchen scale, not to the even neighbour.

    Args:
        value: any finite number.
        step: the smallest difference shown, same unit.

    Returns:
        The nearest multiple of the step.

    Raises:
        OutOfRange: the value is not finite or the step not above 0.

    Valid range: step above 0.
    Source: common practice, no source.

    ===== ==== =======
    value step rounded
    ===== ==== =======
    2.5   1    3
    3.5   1    4
    12.4  5    10
    12.5  5    15
    ===== ==== =======

    >>> [round_half_up(2.5), round_half_up(3.5), round_half_up(12.4, 5), round_half_up(12.5, 5)]
    [3.0, 4.0, 10.0, 15.0]
    """
    check_range("value", value, reason=_HALF_UP)
    check_range("step", step, above=0, reason="a step of nothing")
    return math.floor(value / step + 0.5) * float(step)


def round_down(value: float, step: float) -> float:
    """Round down to a multiple of a step: for limits, where up would spill.

    Args:
        value: any finite number.
        step: the smallest difference shown, same unit.

    Returns:
        The largest multiple of the step that is not above the value.

    Raises:
        OutOfRange: the value is not finite or the step not above 0.

    Valid range: step above 0.
    Source: common practice, no source.

    ===== ==== =======
    value step rounded
    ===== ==== =======
    194.4 10   190
    199.9 10   190
    200   10   200
    ===== ==== =======

    >>> [round_down(194.4, 10), round_down(199.9, 10), round_down(200, 10)]
    [190.0, 190.0, 200.0]
    """
    check_range("value", value, reason=_HALF_UP)
    check_range("step", step, above=0, reason="a step of nothing")
    return math.floor(value / step) * float(step)


def round_up(value: float, step: float) -> float:
    """Round up to a multiple of a step: for what a kettle or a server must hold.

    Args:
        value: any finite number.
        step: the smallest difference shown, same unit.

    Returns:
        The smallest multiple of the step that is not below the value.

    Raises:
        OutOfRange: the value is not finite or the step not above 0.

    Valid range: step above 0.
    Source: common practice, no source.

    ===== ==== =======
    value step rounded
    ===== ==== =======
    701   100  800
    700   100  700
    ===== ==== =======

    >>> [round_up(701, 100), round_up(700, 100)]
    [800.0, 700.0]
    """
    return 0.0 - round_down(-check_range("value", value, reason=_HALF_UP), step)  # never a negative zero


def whole_grams(targets_g: Sequence[float]) -> tuple[int, ...]:
    """Round cumulative scale targets to whole grams; the remainder lands in the last pour.

    Each target is rounded half up; one that would make its pour 0 g is raised to one gram above the target before;
    the last is the water, rounded. Where the raising would run past it, targets are taken back from the end.

    Args:
        targets_g: rising cumulative targets in g; the last is the water.

    Returns:
        Rising whole grams, as many as given.

    Raises:
        OutOfRange: a target that is not finite, not above 0, not rising, or less water than one gram a pour.

    Valid range: targets above 0 and rising; rounded water at least one gram per pour.
    Source: common practice, no source.

    ====================== ==================== =================
    targets                rounded              pours
    ====================== ==================== =================
    47.96, 119.9, 263.8    48, 120, 264         48, 72, 144
    33.3, 66.7, 100        33, 67, 100          33, 34, 33
    0.2, 0.4, 100          1, 2, 100            1, 1, 98
    99.6, 99.8, 100        98, 99, 100          98, 1, 1
    ====================== ==================== =================

    >>> whole_grams([47.96, 119.9, 263.8])
    (48, 120, 264)
    >>> whole_grams([33.3, 66.7, 100])
    (33, 67, 100)
    >>> whole_grams([0.2, 0.4, 100])
    (1, 2, 100)
    >>> whole_grams([99.6, 99.8, 100])
    (98, 99, 100)
    """
    return _cumulative(targets_g, 1)


def five_grams(targets_g: Sequence[float]) -> tuple[int, ...]:
    """Round cumulative scale targets to 5 g for the simple layer; only the last keeps its whole grams.

    As ``whole_grams``, in steps of 5 g; the last target stays the water in whole grams, so that nothing is lost. Where
    there is too little water for 5 g a pour, whole grams are kept throughout.

    Args:
        targets_g: rising cumulative targets in g; the last is the water.

    Returns:
        Rising whole grams, as many as given; all but the last multiples of 5.

    Raises:
        OutOfRange: as for ``whole_grams``.

    Valid range: targets above 0 and rising; rounded water at least one gram per pour.
    Source: common practice, no source.

    ====================== ==================== =================
    targets                rounded              pours
    ====================== ==================== =================
    48, 120, 192, 264      50, 120, 190, 264    50, 70, 70, 74
    32.5, 97.4, 163        35, 95, 163          35, 60, 68
    1, 2, 100              5, 10, 100           5, 5, 90
    3, 6, 9                3, 6, 9              3, 3, 3
    ====================== ==================== =================

    >>> five_grams([48, 120, 192, 264])
    (50, 120, 190, 264)
    >>> five_grams([32.5, 97.4, 163])
    (35, 95, 163)
    >>> five_grams([1, 2, 100])
    (5, 10, 100)
    >>> five_grams([3, 6, 9])
    (3, 6, 9)
    """
    if len(targets_g) * 5 > round_half_up(targets_g[-1] if targets_g else 0.0):
        return _cumulative(targets_g, 1)
    return _cumulative(targets_g, 5)


def _cumulative(targets_g: Sequence[float], step: int) -> tuple[int, ...]:
    previous = 0.0
    for target in targets_g:
        previous = check_range("targets_g", target, above=previous, reason="targets rise from 0")
    if not targets_g:
        raise OutOfRange("targets_g", 0, low=1, high=None, reason="a plan needs a pour")
    water = int(round_half_up(previous))
    count = len(targets_g)
    if water < count:
        raise OutOfRange("targets_g", previous, low=count, high=None, reason="a pour may not round to 0 g")
    rounded: list[int] = []
    for index, target in enumerate(targets_g[:-1]):
        # The pours still to come need a step each (the last a gram): the largest multiple that leaves them room.
        room = (water - 1 - step * (count - 2 - index)) // step * step
        floor = (rounded[-1] if rounded else 0) + step
        rounded.append(min(max(int(round_half_up(target, step)), floor), room))
    return (*rounded, water)


def to_five_seconds(time_s: float) -> float:
    """Round a predicted time to 5 s: finer would promise more than a bed of coffee keeps.

    Args:
        time_s: seconds.

    Returns:
        Seconds, a multiple of 5.

    Raises:
        OutOfRange: not a finite number.

    Valid range: finite.
    Source: common practice, no source.

    >>> to_five_seconds(117.84)
    120.0
    """
    return round_half_up(time_s, 5.0)


def one_decimal(value: float) -> float:
    """Round a ratio or a percentage to one decimal, half up.

    Args:
        value: any finite number.

    Returns:
        The number to one decimal.

    Raises:
        OutOfRange: not a finite number.

    Valid range: finite.
    Source: common practice, no source.

    >>> one_decimal(16.25)
    16.3
    """
    check_range("value", value, reason=_HALF_UP)
    return math.floor(value * 10 + 0.5) / 10
