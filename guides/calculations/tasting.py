"""Tasting blind: what is more than luck."""

from __future__ import annotations

from fractions import Fraction
from math import comb

from .constants import SIGNIFICANCE
from .validity import OutOfRange, check_range

_MOST_TASTERS = 1000


def chance_of_right(right: int, tasters: int) -> float:
    """Give the chance that guessing alone finds the odd cup of three at least so often.

    Args:
        right: right answers.
        tasters: answers in all, one per taster.

    Returns:
        Probability, 0 to 1, exact.

    Raises:
        OutOfRange: not whole numbers, more right answers than tasters, or more than 1000 tasters.

    Valid range: 1 to 1000 tasters, 0 to that many right.
    Source: iso-4120 (binomial with one chance in three).

    >>> round(chance_of_right(5, 6), 4)
    0.0178
    """
    _count("tasters", tasters, 1, _MOST_TASTERS)
    _count("right", right, 0, tasters)
    ways = sum(comb(tasters, hits) * 2 ** (tasters - hits) for hits in range(right, tasters + 1))
    return float(ways / 3**tasters)


def fewest_right(tasters: int) -> int | None:
    """Give the fewest right answers of a triangle test that guessing reaches less than once in twenty.

    Args:
        tasters: answers in all, one per taster.

    Returns:
        Right answers, or ``None`` where even all of them could be luck.

    Raises:
        OutOfRange: not a whole number from 1 to 1000.

    Valid range: 1 to 1000 tasters.
    Source: iso-4120.

    >>> [fewest_right(tasters) for tasters in (2, 6, 9, 12)]
    [None, 5, 6, 8]
    """
    _count("tasters", tasters, 1, _MOST_TASTERS)
    ways, needed = 0, None
    for hits in range(tasters, -1, -1):
        ways += comb(tasters, hits) * 2 ** (tasters - hits)
        if ways / 3**tasters >= SIGNIFICANCE.value:
            break
        needed = hits
    return needed


def chance_of_favourite(most: int, choices: int, samples: int) -> float:
    """Give the chance that people who choose at random like some cup best at least so often.

    Args:
        most: choices that fell on the cup liked best by most.
        choices: choices in all, one per taster.
        samples: cups they chose among.

    Returns:
        Probability, 0 to 1, exact. For two cups it is that of the two-sided paired test.

    Raises:
        OutOfRange: not whole numbers, more choices on one cup than in all, more than 1000, or not 2 to 4 cups.

    Valid range: 1 to 1000 choices, 2 to 4 cups.
    Source: definition (the largest count of equal chances).

    >>> round(chance_of_favourite(9, 10, 2), 4)
    0.0215
    """
    _count("choices", choices, 1, _MOST_TASTERS)
    _count("most", most, 0, choices)
    _count("samples", samples, 2, 4)
    # Ways in which every cup is chosen less often than that, one cup more at a time.
    fewer = [1] + [0] * choices
    for _sample in range(samples):
        fewer = [
            sum(comb(total, own) * fewer[total - own] for own in range(min(most - 1, total) + 1))
            for total in range(choices + 1)
        ]
    return float(1 - Fraction(fewer[choices], samples**choices))


def _count(name: str, value: int, low: int, high: int) -> None:
    check_range(name, value, low=low, high=high, reason="answers are counted")
    if value != int(value):
        raise OutOfRange(name, value, low=low, high=high, reason="answers are counted whole")
