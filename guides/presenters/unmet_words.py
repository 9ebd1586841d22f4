"""What could not be honoured, and what to do about it, in words."""

from __future__ import annotations

from typing import Final

from django.utils.translation import gettext, gettext_noop

from guides.calculations.adaptation import Unmet

from .findings import shown
from .numbers import Figures
from .sheet import SheetUnmet

# What stands against the wish, and what helps instead.
_WORDS: Final[dict[str, tuple[str, str]]] = {
    "grinder_out_of_points": (
        gettext_noop(
            "This plan asks for %(wanted_um)s, and your grinder is known from %(low_um)s to %(high_um)s: beyond its "
            "points there is no setting to give."
        ),
        gettext_noop("Begin at the end of its scale that lies nearer, and correct by the drained time."),
    ),
    "still_overflows": (
        gettext_noop("This brewer takes %(limit_g)s at a time, and the plan would fill it with %(charge_g)s."),
        gettext_noop("Use less coffee, brew twice, or take a larger brewer. Don't pour this as it stands."),
    ),
    "target_not_reached": (
        gettext_noop("The promised strength of %(target)s is out of reach: steeping ends near %(plateau)s here."),
        gettext_noop("Make less at a time, so that all the water fits in with the coffee."),
    ),
    "kettle_below_guide": (
        gettext_noop(
            "The guide asks for %(wanted_c)s. Where you are, water can be poured at %(cap_c)s at the most, just off "
            "the boil."
        ),
        gettext_noop(
            "Pour right off the boil, rinse and warm the brewer well, and put the kettle back on the heat between "
            "pours. The grind here makes up for some of it; if the cup still tastes sour and thin, go one step finer."
        ),
    ),
    "drained_moves": (
        gettext_noop("No grind brings the drained time to %(wanted_s)s: expect about %(likely_s)s."),
        gettext_noop("Judge by taste: sour and thin, go finer; bitter and drying, go coarser."),
    ),
    "no_valve": (
        gettext_noop("The guide shuts a valve, and this brewer has none, so the plan stays in the guide's brewer."),
        gettext_noop("Choose a brewer with a valve, or a guide for an open one."),
    ),
    "not_the_same_method": (
        gettext_noop(
            "One of the two steeps until it is decanted, the other drains: the plan stays in the guide's brewer."
        ),
        gettext_noop("Choose a guide made for a brewer like yours."),
    ),
    "bypass_beyond_practice": (
        gettext_noop(
            "To fit, %(share)s of the water would go around the coffee; above %(high)s a cup tends to taste thin."
        ),
        gettext_noop("Up to %(fits_dose_g)s of coffee fits without that: brew twice, or take a larger brewer."),
    ),
    "alkalinity_off": (
        gettext_noop("Your water has %(alkalinity_mg_l)s of alkalinity; the guide was written with %(wanted_mg_l)s."),
        gettext_noop(
            "No blend with soft water brings it there. Softer water makes the cup taste sharper, harder water flatter: "
            "try a bottled water near the guide's."
        ),
    ),
    "pour_too_small": (
        gettext_noop("A pour would come to %(grams_g)s, less than a scale shows."),
        gettext_noop("Make more at a time."),
    ),
}


def message(unmet: Unmet, figures: Figures) -> SheetUnmet:
    """Say what could not be honoured and what helps, in the language that is active, numbers included."""
    numbers = shown(unmet.code, unmet.numbers, figures)
    said, instead = _WORDS[unmet.code]
    return SheetUnmet(unmet.code, gettext(said) % numbers, gettext(instead) % numbers)


def codes() -> frozenset[str]:
    """Codes that have words."""
    return frozenset(_WORDS)
