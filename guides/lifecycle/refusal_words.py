"""The words of the calculation room's refusals: what, why, what to do. Presenters show the same ones."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from django.utils.formats import number_format
from django.utils.functional import lazy
from django.utils.translation import gettext, gettext_noop

from guides.calculations.plan import Plan
from guides.calculations.rounding import round_half_up
from guides.calculations.validity import Caution, OutOfRange

from .errors import Refusal

# Code → (the column the writer must look at, the sentence). Numbers are named as the finding names them.
_WORDS: Final[dict[str, tuple[str, str]]] = {
    "no_pour": ("action", gettext_noop("The plan has no pour. Add a step that pours the water.")),
    "pour_without_target": (
        "target_g",
        gettext_noop("Scale shows: a pour needs the reading it ends at. Write the grams on the scale."),
    ),
    "ends_before_start": (
        "end_s",
        gettext_noop("To: this step ends at {end_s}, before it starts at {start_s}. Put the later time last."),
    ),
    "steps_out_of_order": (
        "start_s",
        gettext_noop(
            "From: this step starts at {start_s}, before the one above it at {previous_s}. "
            "Move it up, or give it a later time."
        ),
    ),
    "overlapping_pours": (
        "start_s",
        gettext_noop(
            "From: this pour starts at {start_s} while the last one runs until {previous_end_s}. "
            "One hand pours once: start it later, or end the other sooner."
        ),
    ),
    "targets_not_rising": (
        "target_g",
        gettext_noop(
            "Scale shows: {target_g} is no more than the {previous_g} of the pour before. "
            "Readings count from the dry dose and rise; write the reading, not the amount poured."
        ),
    ),
    "targets_do_not_add_up": (
        "target_g",
        gettext_noop(
            "Scale shows: the last pour ends at {target_g}, and the water through the coffee is {water_g} "
            "(difference {difference_g}). Make the two the same."
        ),
    ),
    "bypass_does_not_add_up": (
        "target_g",
        gettext_noop(
            "Scale shows: after the water is added it reads {target_g}; poured and added water make {expected_g} "
            "(difference {difference_g}). Make the two the same."
        ),
    ),
    "pour_takes_no_time": (
        "end_s",
        gettext_noop("To: this pour starts and ends at {start_s}. Write when it ends; 2 to 10 g a second is usual."),
    ),
    "pour_after_decant": (
        "start_s",
        gettext_noop(
            "From: this pour starts at {start_s}, after the brew was decanted at {decant_s}. "
            "Pour before decanting, or add water to the cup instead."
        ),
    ),
    "decanted_while_pouring": (
        "start_s",
        gettext_noop(
            "From: the brew is decanted at {decant_s}, while water is poured until {end_s}. Decant when it is all in."
        ),
    ),
    "plan_too_long": (
        "end_s",
        gettext_noop(
            "To: this step ends at {end_s}, later than any brew by hand ({longest_s}). Write an earlier time."
        ),
    ),
    "nothing_runs_off": (
        "water_g",
        gettext_noop(
            "Water through the coffee: {water_g} is poured and the grounds keep {kept_g}, so nothing reaches the cup. "
            "Pour more, or take less coffee."
        ),
    ),
    "anchor_never_comes": (
        "anchor",
        gettext_noop(
            "Counts from: this step waits for a moment that nothing above it brings about. "
            "Count from the start, or put the step it waits for above it."
        ),
    ),
    "valve_without_valve": (
        "brewer",
        gettext_noop(
            "Brewer: it has no valve, and the plan uses one. Choose a brewer with a valve, or take the valve out of "
            "the plan."
        ),
    ),
    "never_opens": (
        "action",
        gettext_noop("The valve is shut at the end, so nothing reaches the cup. Add a step that opens it."),
    ),
    "never_decanted": (
        "action",
        gettext_noop("This brewer does not drain by itself, and nothing is poured off. Add a step that decants."),
    ),
    "overflows_shut": (
        "water_g",
        gettext_noop(
            "Water through the coffee: {charge_g} would stand above the shut valve, where {limit_g} fits. "
            "Pour {water_g} through the coffee and add {bypass_g} to the cup, or open the valve sooner."
        ),
    ),
    "overflows": (
        "water_g",
        gettext_noop(
            "Water through the coffee: at {overflow_s} the brewer would hold {held_g}, and it holds {limit_g}. "
            "Pour later or slower, or add some of the water to the cup instead."
        ),
    ),
    "hotter_than_boiling": (
        "kettle_c",
        gettext_noop(
            "Kettle: {kettle_c} cannot be reached; water boils at {boiling_c} at the roastery. "
            "Write {cap_c} at most; a finer grind makes up for cooler water."
        ),
    ),
    "target_above_plateau": (
        "strength_high_percent",
        gettext_noop(
            "Strength: {target} is more than steeping can give with this much water: {plateau} at most. "
            "Use less water, or promise less."
        ),
    ),
}

_LIMITS: Final[dict[str, tuple[str, str]]] = {
    "dose_g": ("dose_g", gettext_noop("Dose")),
    "water_g": ("water_g", gettext_noop("Water through the coffee")),
    "bypass_g": ("bypass_g", gettext_noop("Water added to the cup")),
    "ice_g": ("ice_g", gettext_noop("Ice in the server")),
    "kettle_c": ("kettle_c", gettext_noop("Kettle")),
    "grind_um": ("grind_um", gettext_noop("Grind")),
    "start_s": ("start_s", gettext_noop("From")),
    "end_s": ("end_s", gettext_noop("To")),
    "target_g": ("target_g", gettext_noop("Scale shows")),
    "usable_ml": ("brewer", gettext_noop("Usable volume of the brewer")),
    "heat_j_per_k": ("brewer", gettext_noop("Heat capacity of the brewer")),
    "half_angle_deg": ("brewer", gettext_noop("Half angle of the brewer")),
    "outlet_radius_mm": ("brewer", gettext_noop("Outlet radius of the brewer")),
    "radius_mm": ("brewer", gettext_noop("Radius of the brewer")),
    "altitude_m": ("altitude_m", gettext_noop("Altitude of the roastery")),
    "strength_low": ("strength_low_percent", gettext_noop("Strength")),
    "strength_high": ("strength_high_percent", gettext_noop("Strength")),
    "extraction": ("extraction_percent", gettext_noop("Extraction")),
}


def refusal(finding: Caution) -> Refusal:
    """Give a refusal of the calculation room in words, with the field and step it is about."""
    return Refusal(message(finding), field=_WORDS[finding.code][0], step=finding.step)


def message(finding: Caution) -> str:
    """Give the sentence of a refusal; lazy, so in the language it is read in."""
    return _sentence(_WORDS[finding.code][1], finding.numbers)


def out_of_range(error: OutOfRange, plan: Plan | None = None) -> Refusal:
    """Give a number that no brew has in words, with the field and the first step of the plan it stands in."""
    field, label = _LIMITS.get(error.argument, (None, error.argument.replace("_", " ")))
    steps = plan.steps if plan is not None else ()
    inside = (index for index, step in enumerate(steps) if getattr(step, error.argument, None) == error.value)
    message = _limits(label, error.argument, error.value, error.low, error.high)
    return Refusal(message, field=field, step=next(inside, None))


def codes() -> frozenset[str]:
    """Codes that have words here."""
    return frozenset(_WORDS)


def _said(template: str, numbers: Mapping[str, float]) -> str:
    return gettext(template).format(**{name: shown(name, value) for name, value in numbers.items()})


def _said_limits(label: str, argument: str, value: float, low: float | None, high: float | None) -> str:
    known = {"label": gettext(label), "value": shown(argument, value)}
    if low is not None and high is not None:
        return gettext("{label}: {value} is outside {low} to {high}. Write a number in between.").format(
            low=shown(argument, low), high=shown(argument, high), **known
        )
    if low is not None:
        return gettext("{label}: {value} is too little; {low} is the least.").format(low=shown(argument, low), **known)
    if high is not None:
        return gettext("{label}: {value} is too much; {high} is the most.").format(high=shown(argument, high), **known)
    return gettext("{label}: write a number.").format(**known)


_sentence = lazy(_said, str)
_limits = lazy(_said_limits, str)


def shown(name: str, value: float) -> str:
    """Write a number by the unit its name ends in, in the reader's language."""
    if name.endswith("_s"):
        minutes, seconds = divmod(int(round_half_up(value)), 60)
        return f"{minutes}:{seconds:02d}"
    for ending, unit, decimals in _UNITS:
        if name.endswith(ending):
            return f"{_trimmed(value, decimals)}\N{NO-BREAK SPACE}{unit}"
    return f"{_trimmed(100 * value, 2)}\N{NO-BREAK SPACE}%"


_UNITS: Final = (
    ("_g", "g", 1),
    ("_c", "°C", 1),
    ("_ml", "mL", 0),
    ("_um", "µm", 0),
    ("_mm", "mm", 1),
    ("_deg", "°", 1),
    ("_m", "m", 0),
    ("_j_per_k", "J/K", 0),
)


def _trimmed(value: float, decimals: int) -> str:
    rounded = round(round_half_up(value, 10.0**-decimals), decimals)
    whole = rounded == int(rounded)
    return str(number_format(int(rounded) if whole else rounded, None if whole else decimals))
