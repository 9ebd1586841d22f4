"""In which order tasters get their cups, so that no place on the table favours a cup."""

from __future__ import annotations

from .validity import OutOfRange, check_range

Order = tuple[int, ...]
"""Samples by number from 1, in the order they are tasted."""


def preference_orders(samples: int) -> tuple[Order, ...]:
    """Give orders in which every cup has every place, and follows every other cup, equally often.

    Args:
        samples: cups to compare.

    Returns:
        As many orders as cups, or twice as many for an odd number; used all equally often they balance place and
        carry-over.

    Raises:
        OutOfRange: not 2, 3 or 4 cups.

    Valid range: 2 to 4 cups.
    Source: williams-1949, from memory.

    >>> preference_orders(4)
    ((1, 2, 4, 3), (2, 3, 1, 4), (3, 4, 2, 1), (4, 1, 3, 2))
    """
    check_range("samples", samples, low=2, high=4, reason="more cups tire the tongue")
    if samples != int(samples):
        raise OutOfRange("samples", samples, low=2, high=4, reason="cups are counted whole")
    first = [0]
    for step in range(1, samples):
        first.append((step + 1) // 2 if step % 2 else samples - step // 2)
    square = [tuple((place + row) % samples + 1 for place in first) for row in range(samples)]
    mirrored = [order[::-1] for order in square] if samples % 2 else []
    return (*square, *mirrored)


def triangle_orders() -> tuple[Order, ...]:
    """Give the six ways to set out two samples as three cups, two of them alike.

    Returns:
        Each of both samples is the odd one in each place once.

    Valid range: two samples.
    Source: iso-4120.

    >>> triangle_orders()[0]
    (2, 1, 1)
    """
    return tuple(
        tuple(odd if place == where else 3 - odd for place in range(3)) for odd in (2, 1) for where in range(3)
    )
