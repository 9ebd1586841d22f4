"""One sentence for everything the calculation room can say about a plan.

Refusals have their words where the lifecycle refuses (``lifecycle.refusal_words``); cautions and notes have theirs
here. Sentences name their numbers as the finding names them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from django.utils.translation import gettext, gettext_noop, override

from guides.calculations.validity import Caution, Severity
from guides.lifecycle import refusal_words

from .numbers import Figures, clock
from .units import METRIC, Units

_CAUTIONS: Final[dict[str, str]] = {
    "pour_too_fast": gettext_noop("This pour runs at %(rate_g_s)s; above %(high_g_s)s the stream digs up the bed."),
    "pour_too_slow": gettext_noop("This pour runs at %(rate_g_s)s; below %(low_g_s)s the bed cools while you pour."),
    "rim_left_dry": gettext_noop(
        "Every pour stays in the centre and nothing stirs, so the grounds at the rim may stay dry: pour one in circles."
    ),
    "brew_ratio_tight": gettext_noop(
        "Only %(brew_ratio)s of coffee to water goes through the bed (%(low)s is usual at the least), so the last of "
        "the flavour stays in the grounds."
    ),
    "much_bypass": gettext_noop(
        "%(share)s of the water goes around the coffee; above %(high)s a cup tends to taste thin."
    ),
    "near_shut_limit": gettext_noop(
        "%(charge_g)s stands above the shut valve, where %(limit_g)s fits: pour to the scale and stop there."
    ),
    "near_limit": gettext_noop(
        "The brewer is full to %(held_g)s, and it holds %(limit_g)s: pour to the scale and stop there."
    ),
    "valve_already_so": gettext_noop("This valve step changes nothing: the valve is so already."),
    "first_drip_off": gettext_noop(
        "The promised first drip at %(target_s)s lies outside the expected %(low_s)s to %(high_s)s."
    ),
    "targets_disagree": gettext_noop(
        "An extraction of %(extraction)s does not go with the promised strength, which asks for %(low)s to %(high)s."
    ),
    "still_draining": gettext_noop("At %(after_s)s the bed is still draining: coarser, or gentler pours."),
    "outside_usual_extraction": gettext_noop(
        "The promised cup asks for an extraction of %(low)s to %(high)s, outside what coffee usually gives."
    ),
}

_NOTES: Final[dict[str, str]] = {
    "last_drops_not_measured": gettext_noop(
        "Extraction counts the liquid left in the grounds as plain water; measuring the last drops would raise it."
    ),
    "extraction_assumed": gettext_noop(
        "No strength is promised; the figures take an extraction of %(low)s to %(high)s, which is usual."
    ),
    "not_yet_plateau": gettext_noop(
        "A steep of %(steep_s)s stays below the %(plateau)s that steeping ends at after about %(plateau_s)s."
    ),
    "hot_water": gettext_noop(
        "Boiling water and steam scald: water at %(cooler_c)s burns an adult's skin in about %(cooler_s)s, at "
        "%(hotter_c)s in about %(hotter_s)s, and a child's sooner."
    ),
    "stand_firm": gettext_noop(
        "Stand the brewer on something stable, over a server that holds everything that runs out: %(server_ml)s or "
        "more."
    ),
    "test_the_valve": gettext_noop("Test the valve with %(test_g)s of water, and shut it before you fill the brewer."),
    "do_not_lift": gettext_noop("Do not lift or carry a full brewer."),
    "warm_the_glass": gettext_noop("Warm glass with warm water before hot water meets it: cold glass can crack."),
    "iced_glass": gettext_noop(
        "Do not pour hot coffee onto ice in thin or cold glass: use a server made for hot and cold."
    ),
    "cool_before_drinking": gettext_noop(
        "Let the cup cool below %(below_c)s before you drink; drinks above %(harm_c)s harm over the years."
    ),
    "fresh_gas": gettext_noop(
        "Freshly roasted and ground coffee gives off carbon dioxide and carbon monoxide: keep it in vented bags and "
        "aired rooms, and let nobody climb into bins."
    ),
    "local_rules": gettext_noop(
        "Local codes and the advice of licensed practitioners come before anything written here."
    ),
}

Shower = Callable[[Figures, float], str]


def _percent(figures: Figures, value: float) -> str:
    return figures.percent(value)


def _whole_percent(figures: Figures, value: float) -> str:
    return figures.percent(value, 0)


def _tenths_percent(figures: Figures, value: float) -> str:
    return figures.percent(value, 1)


def _ratio(figures: Figures, value: float) -> str:
    return figures.ratio(value)


# By the ending of a number's name; the first that fits, so longer endings stand first.
_BY_ENDING: Final[tuple[tuple[str, Shower], ...]] = (
    ("_g_s", Figures.grams_per_second),
    ("_mg_l", Figures.milligrams_per_litre),
    ("_mm", Figures.millimetres),
    ("_m", Figures.metres),
    ("_g", Figures.grams),
    ("_ml", Figures.millilitres),
    ("_c", Figures.celsius),
    ("_um", Figures.micrometres),
    ("_s", lambda _figures, value: clock(value)),
)
# Numbers whose name ends in no unit, and seconds that are a span and not a moment.
_BY_NAME: Final[dict[tuple[str, str], Shower]] = {
    ("brew_ratio_tight", "brew_ratio"): _ratio,
    ("brew_ratio_tight", "low"): _ratio,
    ("much_bypass", "share"): _whole_percent,
    ("much_bypass", "high"): _whole_percent,
    ("not_yet_plateau", "plateau"): _percent,
    ("bypass_beyond_practice", "share"): _whole_percent,
    ("bypass_beyond_practice", "high"): _whole_percent,
    ("target_not_reached", "target"): _percent,
    ("target_not_reached", "plateau"): _percent,
    ("hot_water", "cooler_s"): Figures.seconds,
    ("hot_water", "hotter_s"): Figures.seconds,
}


def message(finding: Caution, language: str, units: Units = METRIC) -> str:
    """Say a finding in one sentence of a language, numbers included.

    Args:
        finding: from an assessment.
        language: of the sentence.
        units: the reader's.

    Returns:
        The sentence, led by the number of its step where it concerns one.

    Raises:
        KeyError: a code without words.
    """
    with override(language):
        sentence = _sentence(finding, Figures(language, units))
        if finding.step is None:
            return sentence
        return gettext("Step %(number)s: %(sentence)s") % {"number": finding.step + 1, "sentence": sentence}


def codes() -> frozenset[str]:
    """Codes that have words, here or in the lifecycle."""
    return refusal_words.codes() | _CAUTIONS.keys() | _NOTES.keys()


def _sentence(finding: Caution, figures: Figures) -> str:
    if finding.severity is Severity.REFUSAL:
        return str(refusal_words.message(finding))
    words = _CAUTIONS if finding.severity is Severity.CAUTION else _NOTES
    return gettext(words[finding.code]) % shown(finding.code, finding.numbers, figures)


def shown(code: str, numbers: Mapping[str, float], figures: Figures) -> dict[str, str]:
    """Write each number with the unit its name ends in; a bare name is a fraction, shown in percent."""
    return {name: _shower(code, name)(figures, value) for name, value in numbers.items()}


def _shower(code: str, name: str) -> Shower:
    if (code, name) in _BY_NAME:
        return _BY_NAME[code, name]
    return next((shower for ending, shower in _BY_ENDING if name.endswith(ending)), _tenths_percent)
