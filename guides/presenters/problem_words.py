"""What is wrong with a field of a request, in words: what, why, and what to do."""

from __future__ import annotations

from typing import Final

from django.utils.translation import gettext, gettext_noop

from .findings import shown
from .numbers import Figures
from .typed import Problem

_WORDS: Final[dict[str, str]] = {
    "not_a_number": gettext_noop("This is no number. Write digits alone, such as 18 or 18.5."),
    "too_long": gettext_noop("This is longer than any answer here. Shorten it."),
    "unknown_choice": gettext_noop("This is not among the choices any more. Choose one of the list."),
    "not_times": gettext_noop("Write times as minutes and seconds, such as 2:50 3:05."),
    "few_times": gettext_noop(
        "One brew cannot tell a grinder from a slip. Write two times or more, such as 2:50 3:05."
    ),
    "not_points": gettext_noop("Write each point as setting:micrometres, such as 14:480 20:690 26:900."),
    "few_points": gettext_noop("A grinder needs three points or more, such as 14:480 20:690 26:900."),
    "points_missing": gettext_noop(
        "Your own grinder needs its points: write three or more, or choose another grinder."
    ),
    "two_sizes": gettext_noop("Two sizes are asked for at once. Keep one of cups, dose and bag, and empty the others."),
    "two_places": gettext_noop("Altitude and boiling point say the same thing twice. Keep one and empty the other."),
    "not_own_brewer": gettext_noop("This describes a brewer of your own. Choose “My own” above, or empty this."),
    "not_own_grinder": gettext_noop("This describes a grinder of your own. Choose “My own” above, or empty this."),
    "measure_missing": gettext_noop(
        "Your own brewer needs its size: weigh the cold water it holds, or give its height."
    ),
    "out_of_range": gettext_noop("This lies outside what people brew with. Write a number from %(low)s to %(high)s."),
    "too_low": gettext_noop("This is too small to brew with. Write %(low)s or more."),
    "too_high": gettext_noop("This is too large to brew with. Write %(high)s or less."),
    "impossible": gettext_noop("Nothing can be brewed with this. Check the number, or leave it empty."),
    "unlikely_times": gettext_noop(
        "No grind lets this guide drain at those times. Check them: minutes and seconds from the first pour until the "
        "bed was drained."
    ),
    "does_not_fit": gettext_noop("Not even a gram of coffee fits with its water. Check what the brewer holds."),
    "points_disorder": gettext_noop(
        "Each setting stands once, and the sizes must all rise, or all fall, from 50 to 5000 µm. Check the points."
    ),
    "outside_points": gettext_noop("This lies outside the points of the grinder, so its size is not known. Check it."),
}
# Refusals of the calculation room whose argument alone says what is wrong.
_BY_ARGUMENT: Final[dict[str, str]] = {
    "wanted_s": "unlikely_times",
    "wanted_um": "outside_points",
    "setting": "outside_points",
    "settings": "points_disorder",
    "sizes_um": "points_disorder",
    "usable_ml": "does_not_fit",
}


def message(problem: Problem, figures: Figures) -> str:
    """Say what is wrong with a field in the language that is active, limits in the reader's units."""
    code = _code(problem)
    limits = {"low": problem.low, "high": problem.high}
    named = {f"{name}_{problem.argument}": limit for name, limit in limits.items() if limit is not None}
    said = shown(code, named, figures)
    return gettext(_WORDS[code]) % {name: said.get(f"{name}_{problem.argument}", "") for name in limits}


def codes() -> frozenset[str]:
    """Codes that have words."""
    return frozenset(_WORDS)


def _code(problem: Problem) -> str:
    if problem.code != "out_of_range":
        return problem.code
    if problem.argument in _BY_ARGUMENT:
        return _BY_ARGUMENT[problem.argument]
    match problem.low, problem.high:
        case None, None:
            return "impossible"
        case _, None:
            return "too_low"
        case None, _:
            return "too_high"
    return "out_of_range"
