"""What to change next time, in words: one change, with the effect to expect."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final

from django.utils.translation import gettext, gettext_noop

from .findings import shown
from .numbers import Figures

_WORDS: Final[dict[str, str]] = {
    "keep": gettext_noop("Keep it as it is."),
    "less_bypass": gettext_noop("Weak: add less water to the cup, %(after_g)s instead of %(before_g)s."),
    "more_bypass": gettext_noop("Strong: add more water to the cup, %(after_g)s instead of %(before_g)s."),
    "less_water": gettext_noop("Weak: pour less water through the same coffee, %(after_g)s instead of %(before_g)s."),
    "more_water": gettext_noop("Strong: pour more water through the same coffee, %(after_g)s instead of %(before_g)s."),
    "finer": gettext_noop("Sour and thin: grind finer, %(after_um)s instead of %(before_um)s."),
    "coarser": gettext_noop("Bitter and drying: grind coarser, %(after_um)s instead of %(before_um)s."),
    "pour_lower": gettext_noop(
        "Drying, although it ran fast (drained at %(drained_s)s, %(low_s)s at the earliest expected): the water ran "
        "unevenly. Pour lower and more gently; don't grind coarser."
    ),
}
_EFFECT: Final = gettext_noop("It should drain at about %(after_s)s instead of %(before_s)s.")


def message(code: str, numbers: Mapping[str, float], figures: Figures) -> str:
    """Say one piece of advice in the language that is active, numbers included.

    Raises:
        KeyError: a code without words.
    """
    told = shown(code, {name: value for name, value in numbers.items() if math.isfinite(value)}, figures)
    said = gettext(_WORDS[code]) % told
    if {"before_s", "after_s"} <= told.keys():  # a brew that is decanted has no such times
        said = " ".join((said, gettext(_EFFECT) % told))
    return said


def codes() -> frozenset[str]:
    """Codes that have words."""
    return frozenset(_WORDS)
