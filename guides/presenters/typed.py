"""Reading what people type into one field: numbers with either decimal mark, times, pairs, words from a list."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

LONGEST = 200
_NUMBER = re.compile(r"[+-]?\d{1,7}(?:[.,]\d{1,4})?")
_TIME = re.compile(r"(\d{1,2}):([0-5]\d)|(\d{1,4})")
_PAIR = re.compile(rf"({_NUMBER.pattern})[:=]({_NUMBER.pattern})")
_SLUG = re.compile(r"[-a-zA-Z0-9_]{1,60}")


@dataclass(frozen=True)
class Problem:
    """What is wrong with one field.

    ``code`` names the words; ``low`` and ``high`` are the limits of ``argument``, whose name carries their unit.
    """

    field: str
    code: str
    low: float | None = None
    high: float | None = None
    argument: str = ""


class Wrong(ValueError):
    """One field cannot be read; ``code`` names the words for it."""

    def __init__(self, code: str) -> None:
        super().__init__(code)
        self.code = code


def number(text: str) -> float:
    """Read a number with either decimal mark; at most four decimals, no exponent."""
    text = text.replace("\N{MINUS SIGN}", "-")
    if not _NUMBER.fullmatch(text):
        raise Wrong("not_a_number")
    return float(text.replace(",", ".")) + 0.0  # never a negative zero


def word(text: str, known: Iterable[str]) -> str:
    """Read one of a list of words, in either case."""
    if text.lower() not in known:
        raise Wrong("unknown_choice")
    return text.lower()


def slug(text: str) -> str:
    """Read an address word; whether it names anything is asked later."""
    if not _SLUG.fullmatch(text):
        raise Wrong("unknown_choice")
    return text


def times(text: str) -> tuple[int, ...]:
    """Read times as ``2:50 3:05`` or in seconds."""
    found = []
    for part in _parts(text):
        time = _TIME.fullmatch(part)
        if time is None:
            raise Wrong("not_times")
        found.append(int(time[3]) if time[3] else 60 * int(time[1]) + int(time[2]))
    if len(found) < 2:
        raise Wrong("few_times")
    return tuple(found)


def pairs(text: str) -> tuple[tuple[float, float], ...]:
    """Read calibration points as ``14:480 20:690 26:900``, put in order of the setting."""
    found = []
    for part in _parts(text):
        pair = _PAIR.fullmatch(part)
        if pair is None:
            raise Wrong("not_points")
        found.append((number(pair[1]), number(pair[2])))
    if len(found) < 3:
        raise Wrong("few_points")
    return tuple(sorted(found))


def plain(value: float) -> str:
    """Write a number the way ``number`` reads it."""
    return f"{value:.4f}".rstrip("0").rstrip(".")


def plain_time(time_s: int) -> str:
    return f"{time_s // 60}:{time_s % 60:02d}"


def _parts(text: str) -> list[str]:
    """Parts between white space; a comma or semicolon may close one."""
    return [part.strip(",;") for part in re.split(r"[\s;]+", text) if part.strip(",;")]
