"""A trial brew beside what was foreseen of it and what its guide means the cup to be, and why it is off."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django.utils.translation import gettext

from guides.calculations.mass_balance import Measured
from guides.calculations.openings import Drip, judge_first_drip
from guides.calculations.validity import Window
from guides.lifecycle import measured, trials
from guides.lifecycle.plan_of import targets_of
from guides.lifecycle.trials import Predicted
from guides.models import TrialBrew

from .numbers import Figures, clock


@dataclass(frozen=True)
class Judged:
    """One measured quantity beside what the guide means, or where ``foreseen`` what the calculations foresaw.

    ``verdict`` is a word where it is off, ``why`` what that mostly comes from.
    """

    key: str
    label: str
    measured: str
    meant: str = ""
    verdict: str = ""
    why: str = ""

    @property
    def foreseen(self) -> bool:
        return self.key in _FORESEEN


_FORESEEN = frozenset({"first_drip", "drained", "cup", "bed"})


def judge(brew: TrialBrew, figures: Figures) -> tuple[Judged, ...]:
    """Set what was measured beside what was foreseen, and the cup beside what the guide means it to be."""
    return tuple(_all(brew, trials.predicted(brew), figures))


def extraction(found: Measured, figures: Figures) -> str:
    """Write an extraction with its error."""
    return f"{figures.percent(found.value, 1)} ± {figures.number(100 * found.sd)}"


def _all(brew: TrialBrew, foreseen: Predicted | None, figures: Figures) -> Iterator[Judged]:
    if brew.first_drip_s is not None:
        window = foreseen.first_drip if foreseen else None
        yield _time("first_drip", gettext("First drip"), brew.first_drip_s, window, _drip(brew))
    if brew.drained_s is not None:
        window = foreseen.drained if foreseen else None
        yield _time("drained", gettext("Drained"), brew.drained_s, window, _drained(brew, window))
    if brew.cup_g is not None:
        yield _cup(float(brew.cup_g), foreseen.cup_g if foreseen else None, figures)
    if brew.bed_c is not None:
        about = figures.about(figures.celsius(round(foreseen.slurry_peak_c))) if foreseen else ""
        yield Judged("bed", gettext("Hottest"), figures.celsius(float(brew.bed_c)), about)
    yield from _strength(brew, foreseen, figures)
    found = measured.extraction(brew)
    if found is not None:
        meant = targets_of(brew.version).extraction if brew.version else None
        off = 0.0 if meant is None else found.value - meant
        yield Judged(
            "extraction",
            gettext("Extraction"),
            extraction(found, figures),
            "" if meant is None else figures.percent(meant, 1),
            "" if abs(off) <= 2 * found.sd else gettext("below") if off < 0 else gettext("above"),
            "" if abs(off) <= 2 * found.sd else _dissolved(off),
        )
    elif measured.cup_of(brew) is not None:
        why = gettext("Cup, strength and bypass cannot all be right: no coffee gives that much. Read them again.")
        yield Judged("extraction", gettext("Extraction"), "–", "", gettext("not believable"), why)


def _time(key: str, label: str, time_s: int, window: Window | None, why: str) -> Judged:
    if window is None:
        return Judged(key, label, clock(time_s), why=why)
    verdict = gettext("early") if time_s < window.low else gettext("late") if time_s > window.high else ""
    meant = f"{clock(window.low)}–{clock(window.high)}"
    return Judged(key, label, clock(time_s), meant, verdict, why if verdict else "")


def _drip(brew: TrialBrew) -> str:
    if brew.opened_s is None or brew.first_drip_s is None:
        return gettext("How soon an open bed drips follows from how the first pour wets it: all of it, or a channel.")
    return {
        Drip.BEFORE_OPENING: gettext("It dripped before the valve was opened: it was not shut, or it leaks."),
        Drip.BLOCKED: gettext("Long after opening: something blocks the valve or the paper."),
    }.get(
        judge_first_drip(float(brew.opened_s), float(brew.first_drip_s)),
        gettext("Later after opening than a valve should take: look whether it opened fully."),
    )


def _drained(brew: TrialBrew, window: Window | None) -> str:
    if window is None or brew.drained_s is None:
        return ""
    if brew.drained_s > window.high:
        return gettext(
            "The water went through slower than foreseen: finer grounds or more fines, a clogged paper, or pours that "
            "dug into the bed. An even bed asks for a coarser grind."
        )
    return gettext(
        "The water went through faster than foreseen: coarser grounds, or a channel past them. If it tastes drying, "
        "pour lower; if thin, grind finer."
    )


def _cup(cup_g: float, window: Window | None, figures: Figures) -> Judged:
    label = gettext("In the cup")
    if window is None:
        return Judged("cup", label, figures.grams(cup_g))
    verdict = gettext("light") if cup_g < window.low else gettext("heavy") if cup_g > window.high else ""
    why = ""
    if cup_g < window.low:
        why = gettext("The grounds kept more than usual, or it was taken off before it had drained.")
    elif cup_g > window.high:
        why = gettext("More ran out than the plan pours: look at the last scale reading and at the water added.")
    return Judged("cup", label, figures.grams(cup_g), figures.gram_span(window.low, window.high), verdict, why)


def _strength(brew: TrialBrew, foreseen: Predicted | None, figures: Figures) -> Iterator[Judged]:
    found = measured.strength(brew)
    if found is None:
        return
    label = gettext("Strength of the cup")
    targets = targets_of(brew.version) if brew.version else None
    if targets is None or targets.strength_low is None or targets.strength_high is None:
        about = foreseen.strength if foreseen else None
        meant = figures.about(figures.percent_span(about.low, about.high)) if about else ""
        yield Judged("strength", label, figures.percent(found), meant)
        return
    low, high = targets.strength_low, targets.strength_high
    verdict = gettext("weak") if found < low - 1e-9 else gettext("strong") if found > high + 1e-9 else ""
    why = _off(found, low if verdict == gettext("weak") else high, brew, foreseen, figures) if verdict else ""
    yield Judged("strength", label, figures.percent(found), figures.percent_span(low, high), verdict, why)


def _off(found: float, limit: float, brew: TrialBrew, foreseen: Predicted | None, figures: Figures) -> str:
    """Whether more or less in the cup explains a strength, or more or less dissolved."""
    cup_g = float(brew.cup_g or 0)
    if foreseen is not None and cup_g:
        as_foreseen = found * cup_g / foreseen.cup_g.likely
        mended = as_foreseen >= limit if found < limit else as_foreseen <= limit
        if mended:
            return gettext(
                "The cup holds %(mass)s instead of about %(likely)s; with that it would have been %(strength)s."
            ) % {
                "mass": figures.grams(cup_g),
                "likely": figures.grams(foreseen.cup_g.likely, 0),
                "strength": figures.percent(as_foreseen),
            }
    return _dissolved(found - limit)


def _dissolved(off: float) -> str:
    if off < 0:
        return gettext("Less was dissolved than meant: too coarse, too cool, too short, or part of the bed stayed dry.")
    return gettext("More was dissolved than meant: too fine, too hot or too long.")
