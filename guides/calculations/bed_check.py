"""A look at the spent grounds: where they lie and how the brew ended say what to do better next time."""

from __future__ import annotations

from enum import StrEnum


class WallSeen(StrEnum):
    """Grounds on the wall of the brewer above the bed."""

    BARE = "bare"
    THIN = "thin"
    HIGH = "high"


class BedSeen(StrEnum):
    """The surface of the spent bed."""

    FLAT = "flat"
    HOLLOW = "hollow"
    SLOPING = "sloping"


class EndSeen(StrEnum):
    """When the last drip came, beside when it was expected."""

    SOON = "soon"
    RIGHT = "right"
    LATE = "late"


class BedAdvice(StrEnum):
    """The one thing to do next time."""

    LEVEL = "level"
    LOWER = "lower"
    GENTLER = "gentler"
    COARSER = "coarser"
    FINER = "finer"
    WET_ALL = "wet_all"
    KEEP = "keep"


def check_bed(wall: WallSeen, bed: BedSeen, end: EndSeen) -> BedAdvice:
    """Give one piece of advice from the spent bed: what made the water run unevenly first, then the grind.

    Args:
        wall: grounds on the wall.
        bed: surface of the bed.
        end: when the last drip came.

    Returns:
        What to do next time.

    Source: common practice, no source.

    >>> check_bed(WallSeen.THIN, BedSeen.FLAT, EndSeen.LATE)
    <BedAdvice.COARSER: 'coarser'>
    >>> check_bed(WallSeen.HIGH, BedSeen.FLAT, EndSeen.LATE)
    <BedAdvice.LOWER: 'lower'>
    """
    if bed is BedSeen.SLOPING:
        return BedAdvice.LEVEL
    if wall is WallSeen.HIGH:
        return BedAdvice.LOWER
    if bed is BedSeen.HOLLOW:
        return BedAdvice.GENTLER
    if end is EndSeen.LATE:
        return BedAdvice.COARSER
    if end is EndSeen.SOON:
        return BedAdvice.FINER
    return BedAdvice.WET_ALL if wall is WallSeen.BARE else BedAdvice.KEEP
