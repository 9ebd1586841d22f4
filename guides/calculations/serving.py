"""How many cups a guide makes, and how many brews are left in a bag: what "two cups" and "finish the bag" mean."""

from __future__ import annotations

from .constants import HOUSE_CUP_G
from .rounding import round_half_up
from .validity import check_range


def cups_made(cup_g: float) -> int:
    """Give the number of cups a brew is meant for: the one that brings a cup nearest to a usual one.

    Args:
        cup_g: beverage the whole brew gives, in g.

    Returns:
        Cups, at least one.

    Raises:
        OutOfRange: not above 0, or more than 20 kg.

    Valid range: above 0, up to 20 kg.
    Source: own default (the size of a usual cup).

    >>> [cups_made(230), cups_made(380), cups_made(560)]
    [1, 2, 3]
    """
    check_range("cup_g", cup_g, above=0, high=20_000, reason="one brew, by hand")
    return max(int(round_half_up(cup_g / HOUSE_CUP_G.value)), 1)


def cups_g(cup_g: float, cups: int) -> float:
    """Give the beverage of so many cups of a guide: each an equal share of what the guide makes.

    Args:
        cup_g: beverage the whole brew gives, in g.
        cups: wanted, 1 to 20.

    Returns:
        Beverage in g; the guide's own for as many cups as it makes.

    Raises:
        OutOfRange: as for ``cups_made``, or a number of cups outside 1 to 20.

    Valid range: 1 to 20 cups.
    Source: as for ``cups_made``.

    >>> cups_g(380, 1), cups_g(380, 2)
    (190.0, 380.0)
    """
    check_range("cups", cups, low=1, high=20, reason="one brew, by hand")
    return cup_g * cups / cups_made(cup_g)


def brews_left(left_g: float, dose_g: float) -> int:
    """Give the number of equal brews that finish a bag with doses nearest to the guide's.

    Args:
        left_g: coffee left in the bag in g.
        dose_g: the guide's dose in g.

    Returns:
        Brews, at least one; each takes ``left_g`` divided by them.

    Raises:
        OutOfRange: less than 1 g or more than 5 kg left, or no dose.

    Valid range: 1 g to 5 kg left; doses above 0.
    Source: definition.

    >>> brews_left(38, 15), brews_left(9, 15)
    (3, 1)
    """
    check_range("left_g", left_g, low=1, high=5000, reason="what is left in a bag")
    check_range("dose_g", dose_g, above=0, reason="a brew needs coffee")
    return max(int(round_half_up(left_g / dose_g)), 1)
