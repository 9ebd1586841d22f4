"""What a calculation says when it cannot, or only just, stand behind a number.

``OutOfRange`` is raised when there is no honest answer. A ``Caution`` rides along with an answer that stands, but
beyond good practice. Neither carries words for people: it carries a code and the numbers, and the presenters choose
the language.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum


class OutOfRange(ValueError):
    """An argument lies outside the range a calculation is valid for.

    ``argument`` is its name with unit, ``value`` what was given, ``low`` and ``high`` the limits (``None``: open on
    that side) and ``reason`` a short English phrase for developers and logs.
    """

    def __init__(self, argument: str, value: float, *, low: float | None, high: float | None, reason: str) -> None:
        self.argument = argument
        self.value = value
        self.low = low
        self.high = high
        self.reason = reason
        super().__init__(f"{argument} = {value!r} is outside {_span(low, high)}: {reason}")


def _span(low: float | None, high: float | None) -> str:
    if low is not None and high is not None:
        return f"{low:g} to {high:g}"
    if low is not None:
        return f"{low:g} and up"
    return f"up to {high:g}" if high is not None else "the finite numbers"


def check_range(
    argument: str,
    value: float,
    *,
    low: float | None = None,
    high: float | None = None,
    above: float | None = None,
    reason: str,
) -> float:
    """Return ``value`` as a float if it is finite and within the limits, else raise ``OutOfRange``.

    Args:
        argument: name of the argument, with its unit.
        value: any number.
        low: smallest allowed value, inclusive.
        high: largest allowed value, inclusive.
        above: the value must be strictly larger than this.
        reason: why the range is what it is.

    Returns:
        The value as a float, same unit.

    Raises:
        OutOfRange: NaN, infinite, or outside the limits.

    >>> check_range("dose_g", 15, above=0, reason="a brew needs coffee")
    15.0
    """
    number = float(value)
    if (
        not math.isfinite(number)
        or (low is not None and number < low)
        or (high is not None and number > high)
        or (above is not None and number <= above)
    ):
        raise OutOfRange(argument, number, low=above if low is None else low, high=high, reason=reason)
    return number


class Severity(StrEnum):
    """How much a finding weighs: a note informs, a caution warns, a refusal stops publishing."""

    NOTE = "note"
    CAUTION = "caution"
    REFUSAL = "refusal"


@dataclass(frozen=True)
class Caution:
    """One finding about a plan.

    ``code`` is stable and names the message; ``numbers`` are what the message shows, each key carrying its unit
    (``limit_g``, ``late_s``); ``step`` is the index of the step it concerns, or ``None`` for the whole plan.
    """

    code: str
    severity: Severity
    numbers: Mapping[str, float] = field(default_factory=dict)
    step: int | None = None


@dataclass(frozen=True)
class Window:
    """A prediction: 10th percentile, likely value and 90th percentile, in the unit of the quantity it is about.

    ``trials`` says how many trial brews it rests on; 0 means the model's own defaults.
    """

    low: float
    likely: float
    high: float
    trials: int = 0

    def __contains__(self, measured: float) -> bool:
        """Say whether a measured value is one that was foreseen, the ends included."""
        return self.low <= measured <= self.high
