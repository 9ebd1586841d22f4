"""What is read from a clip, and why it may not do."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class ClipFacts:
    """``form`` is the ending of its name; sizes in pixels."""

    form: str
    mime: str
    seconds: float
    width: int
    height: int
    has_sound: bool


class Damaged(Exception):
    """The parts of the file do not fit into each other."""


class Unfit(Exception):
    """It can be read and is not what phones play; the first argument names what is wrong."""
