"""After the brew: water to taste, a look at the bed, three taps of taste, with every answer sent along."""

from __future__ import annotations

from itertools import product
from typing import Final

from django.utils.translation import gettext, pgettext

from guides.calculations.advice import Advice, Balance, Strength, next_change
from guides.calculations.bed_check import BedAdvice, BedSeen, EndSeen, WallSeen, check_bed
from guides.calculations.vessel import Flow
from guides.lifecycle.snapshot import Snapshot

from . import advice_words
from .brew_sheet import After, Choice, Question
from .drawings.bed import bed_drawing
from .numbers import Figures

_SOUR, _BITTER = "sour", "bitter"
_THIN, _DRY = "thin", "dry"
_EARLY_S: Final = 5.0


def build(kept: Snapshot, figures: Figures) -> After:
    """Build what the page asks and says after a brew, in the language that is active."""
    drains = kept.plan.brewer.flow is not Flow.CLOSED
    return After(
        bypass=tuple(
            (figures.grams(point.added_g), figures.about(figures.percent(point.strength.likely)))
            for point in kept.assessment.bypass
        ),
        bed=_bed_questions() if drains else (),
        bed_drawings={advice: bed_drawing(advice, bed_words(advice)) for advice in BedAdvice} if drains else {},
        taste=_taste_questions(),
        told={
            "bed": {"-".join(seen): _bed_told(*seen) for seen in product(WallSeen, BedSeen, EndSeen)} if drains else {},
            "taste": _tastes(kept, figures),
            "soon": kept.assessment.drained.low if kept.assessment.drained else None,
        },
    )


def _bed_questions() -> tuple[Question, ...]:
    return (
        Question(
            "wall",
            gettext("Grounds on the wall"),
            (
                Choice(WallSeen.BARE, gettext("none")),
                Choice(WallSeen.THIN, gettext("a thin coat")),
                Choice(WallSeen.HIGH, gettext("thick, high up")),
            ),
        ),
        Question(
            "bed",
            gettext("The bed is"),
            (
                Choice(BedSeen.FLAT, gettext("flat")),
                Choice(BedSeen.HOLLOW, gettext("hollow")),
                Choice(BedSeen.SLOPING, gettext("sloping")),
            ),
        ),
        Question(
            "end",
            gettext("The last drip came"),
            (
                Choice(EndSeen.SOON, gettext("too soon")),
                Choice(EndSeen.RIGHT, gettext("in time")),
                Choice(EndSeen.LATE, gettext("too late")),
            ),
        ),
    )


def _bed_told(wall: WallSeen, bed: BedSeen, end: EndSeen) -> dict[str, str]:
    advice = check_bed(wall, bed, end)
    return {"code": advice, "says": bed_words(advice)}


def bed_words(advice: BedAdvice) -> str:
    """Say what to do after a look at the spent bed, in the language that is active."""
    return {
        BedAdvice.LEVEL: gettext("Stand the brewer level and pour in even circles: the water ran down one side."),
        BedAdvice.LOWER: gettext("Pour lower and farther from the wall: grounds stayed high up, out of the water."),
        BedAdvice.GENTLER: gettext("Pour more gently and in circles: the stream dug a hollow."),
        BedAdvice.COARSER: gettext("The bed is even: grind a little coarser, and it runs sooner."),
        BedAdvice.FINER: gettext("The bed is even: grind a little finer, and it runs later."),
        BedAdvice.WET_ALL: gettext("An even bed. See that the first pour reaches all the coffee, up to the rim."),
        BedAdvice.KEEP: gettext("An even bed: keep it as it is."),
    }[advice]


def _taste_questions() -> tuple[Question, ...]:
    return (
        Question(
            "strength",
            gettext("Strength"),
            (
                Choice(Strength.WEAK, gettext("weak")),
                Choice(Strength.RIGHT, pgettext("strength", "right")),
                Choice(Strength.STRONG, gettext("strong")),
            ),
        ),
        Question(
            "balance",
            gettext("Taste"),
            (
                Choice(_SOUR, gettext("sour")),
                Choice("balanced", gettext("balanced")),
                Choice(_BITTER, gettext("bitter")),
            ),
        ),
        Question(
            "feel",
            gettext("In the mouth"),
            (
                Choice(_THIN, pgettext("in the mouth", "thin")),
                Choice("round", pgettext("in the mouth", "round")),
                Choice(_DRY, pgettext("in the mouth", "drying")),
            ),
        ),
    )


def _tastes(kept: Snapshot, figures: Figures) -> dict[str, str]:
    """One suggestion for every three taps, and for a brew that drained too soon another where that matters."""
    said: dict[tuple[Strength, Balance | None, bool], str] = {}
    told = {}
    for strength, taste, feel, soon in product(
        Strength, (_SOUR, "balanced", _BITTER), (_THIN, "round", _DRY), (False, True)
    ):
        key = strength, balance_of(taste, feel), soon
        if key not in said:
            said[key] = _suggestion(kept, figures, *key)
        told["-".join((strength, taste, feel, "soon" if soon else "fit"))] = said[key]
    return told


def balance_of(taste: str, feel: str) -> Balance | None:
    """What two taps come to; ``None`` where they contradict each other, which uneven water does."""
    thin, heavy = taste == _SOUR or feel == _THIN, taste == _BITTER or feel == _DRY
    if thin and heavy:
        return None
    return Balance.SOUR_THIN if thin else Balance.BITTER_DRY if heavy else Balance.BALANCED


def _suggestion(kept: Snapshot, figures: Figures, strength: Strength, balance: Balance | None, soon: bool) -> str:
    if balance is None and strength is Strength.RIGHT:
        return gettext("Under- and over-extracted at once: the water ran unevenly. Pour lower and in even circles.")
    window = kept.assessment.drained
    drained_s = window.low - _EARLY_S if soon and window else None
    advice: Advice = next_change(
        kept.plan,
        strength,
        balance or Balance.BALANCED,
        conditions=kept.conditions,
        measured_drained_s=drained_s,
        window=window,
    )
    if advice.code == "pour_lower":  # the moment it drained is the brew's, not the one asked with
        return gettext("Drying, although it drained early: the water ran unevenly. Pour lower; don't grind coarser.")
    return advice_words.message(advice.code, advice.numbers, figures)
