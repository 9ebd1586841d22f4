"""Colours that read on a ground: the roastery's accent on light and dark paper, and text on the accent."""

from __future__ import annotations

from typing import Final

from .contrast import LEAST_FOR_TEXT, ratio

WHITE: Final = "#ffffff"
BLACK: Final = "#000000"


def text_on(ground: str) -> str:
    """Give black or white, whichever reads better on a colour.

    >>> text_on("#8a3b12")
    '#ffffff'
    """
    return max((WHITE, BLACK), key=lambda text: ratio(text, ground))


def readable_on(colour: str, ground: str, least: float = LEAST_FOR_TEXT) -> str:
    """Give a colour that reads on a ground: itself if it does, else the nearest mix with black or white that does.

    >>> readable_on("#8a3b12", "#faf8f3")
    '#8a3b12'
    """
    towards = text_on(ground)
    for share in range(0, 101, 4):
        mixed = _mix(colour, towards, share / 100)
        if ratio(mixed, ground) >= least:
            return mixed
    return towards


def _mix(colour: str, towards: str, share: float) -> str:
    channels = zip(_channels(colour), _channels(towards), strict=True)
    return "#" + "".join(f"{round(own + (other - own) * share):02x}" for own, other in channels)


def _channels(colour: str) -> tuple[int, int, int]:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)
