"""A roast's loss beside what the same coffee has lost before."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median
from typing import Final

from .constants import LOSS_HOLDS
from .validity import OutOfRange, check_range

HISTORY_MOST: Final = 10
"""Older roasts than the last ten say more about the weather and the roaster of those days."""
_EXACT: Final = 9  # decimals: 12.6 % less 11.9 % is 0.7 points, whatever their binary form


@dataclass(frozen=True)
class Compared:
    """Losses as fractions of the green mass. ``apart`` is how much more this one lost than is usual.

    ``is_off`` says that it is as much as is worth a look, or more.
    """

    loss: float
    usual: float
    apart: float
    is_off: bool


def compare(loss: float, earlier: Sequence[float]) -> Compared:
    """Set a loss beside the middle one of earlier losses.

    Args:
        loss: as a fraction of the green mass.
        earlier: losses of earlier roasts of this coffee, as fractions.

    Returns:
        The loss, the usual one (the median, which one odd roast does not move), how far apart they are, and whether
        that is 0.7 points or more.

    Raises:
        OutOfRange: no earlier loss, or one outside 0 to 0.5.

    Valid range: losses 0 to 0.5 (the trade sees 0.11 to 0.17), 1 earlier loss and up.
    Source: own default (the limit).

    >>> compare(0.126, [0.119, 0.121, 0.118]).is_off
    True
    """
    if not earlier:
        raise OutOfRange("earlier", 0, low=1, high=None, reason="a history has at least one roast")
    for value in (loss, *earlier):
        check_range("loss", value, low=0, high=0.5, reason="coffee, not charcoal")
    usual = median(earlier)
    apart = round(loss - usual, _EXACT)
    return Compared(loss, usual, apart, abs(apart) >= LOSS_HOLDS.value)
