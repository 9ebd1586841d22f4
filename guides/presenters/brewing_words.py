"""What the brewing page says, sentence by sentence, in the language that is active."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext, pgettext

from guides import choices
from guides.calculations import lateness, overpour
from guides.calculations.assessment import Conditions
from guides.calculations.constants import DRIP_BLOCKED_S, DRIP_LATEST_S, DRIP_SOONEST_S
from guides.calculations.openings import Drip
from guides.calculations.plan import Action, Anchor, Plan
from guides.calculations.scaling import cup_ratio
from guides.calculations.validity import Window
from guides.calculations.vessel import Flow

from .brew_sheet import Band, Over
from .numbers import Figures, clock

_TASTED_S = 3.0  # a shorter difference drowns in everything else
_SEEN_S = 5.0


def verb(action: Action) -> str:
    """Say what to do in a word or two, for a row of one line."""
    return str(capfirst(choices.Action(action.value).label))


def done(action: Action) -> str:
    """Name the control that says it is done."""
    match action:
        case Action.POUR:
            return gettext("Poured")
        case Action.OPEN:
            return gettext("Valve is open")
        case Action.SHUT:
            return gettext("Valve is shut")
        case _:
            return gettext("Done")


def event(anchor: Anchor, expected: str) -> tuple[str, str, str]:
    """Name something the coffee does: in short, as what to do meanwhile, and on the control that reports it."""
    if anchor is Anchor.FIRST_DRIP:
        waits = gettext("Wait for the first drip, expected at about %(time)s") % {"time": expected}
        return gettext("First drip, about %(time)s") % {"time": expected}, waits, gettext("It drips")
    waits = gettext("Let it drain, expected at about %(time)s") % {"time": expected}
    return gettext("Drained, about %(time)s") % {"time": expected}, waits, gettext("It has drained")


def late_bands(plan: Plan, step: int, conditions: Conditions) -> tuple[Band, ...]:
    """Say what lateness of a step does to the cup, band by band."""
    bands = [Band(band.to_s, _effect(band.effect)) for band in lateness.late_bands(plan, step, conditions)]
    lost = gettext("More than a minute: nobody can say what the cup will be. Go on, and taste.")
    return (*bands, Band(None, lost))


def _effect(effect: lateness.Effect) -> str:
    longer_s = effect.longer_s or 0.0
    if longer_s >= _TASTED_S:
        cup = gettext("The water is with the coffee for longer: expect a fuller cup.")
    elif longer_s <= -_TASTED_S:
        cup = gettext("The water is with the coffee for less time: expect a lighter cup.")
    else:
        cup = gettext("You will hardly taste it.")
    moved_s = effect.drained_later_s or 0.0
    if effect.drained_s is None or abs(moved_s) < _SEEN_S:
        return cup
    drained = gettext("It should have drained at about %(time)s.") % {"time": clock(5 * round(effect.drained_s / 5))}
    return f"{cup} {drained}"


def drained_bands(window: Window | None, figures: Figures) -> tuple[Band, ...]:
    """Say what a drained time means beside the window it was expected in."""
    if window is None:
        return ()
    expected = {"window": figures.time_window(window)}
    return (
        Band(
            window.low - 0.5,
            gettext("Sooner than expected (%(window)s). If the cup is sour or thin, grind a little finer next time.")
            % expected,
        ),
        Band(window.high + 0.5, gettext("As expected (%(window)s).") % expected),
        Band(
            None,
            gettext("Later than expected (%(window)s). If the cup is bitter or dry, grind a little coarser next time.")
            % expected,
        ),
    )


def drip_told(plan: Plan, conditions: Conditions) -> dict[str, Any] | None:
    """Say what a first drop means, by seconds after the valve was opened; ``None`` where no valve is shut first."""
    if plan.brewer.flow is not Flow.VALVE or not plan.valve_shut_at_start:
        return None
    bands = [
        (DRIP_SOONEST_S.value, Drip.BEFORE_OPENING),
        (DRIP_LATEST_S.value, Drip.AS_IT_SHOULD),
        (DRIP_BLOCKED_S.value, Drip.SLOW),
        (None, Drip.BLOCKED),
    ]
    return {
        "bands": [{"to": to_s, "says": _drip(drip)} for to_s, drip in bands],
        "shut": _drip(Drip.BEFORE_OPENING) + " " + _effect(lateness.left_open(plan, conditions)),
    }


def _drip(drip: Drip) -> str:
    return {
        Drip.BEFORE_OPENING: gettext("It drips before the valve was opened: it is not shut. Shut it now, then go on."),
        Drip.AS_IT_SHOULD: gettext("The first drip came as it should."),
        Drip.SLOW: gettext("A slow first drip: see that the valve is fully open."),
        Drip.BLOCKED: gettext("Something blocks the way out: open the valve fully, and don't pour more until it runs."),
    }[drip]


def overs(plan: Plan, conditions: Conditions, where: Mapping[int, int], figures: Figures) -> dict[int, list[Over]]:
    """Say, for every pour and every over-pour in the table, what follows."""
    said: dict[int, list[Over]] = {}
    for row in overpour.overpours(plan, conditions):
        later = [index for index in range(row.step + 1, len(plan.steps)) if plan.steps[index].target_g is not None]
        targets = {where[index]: figures.grams(mass) for index in later if (mass := row.targets_g[index]) is not None}
        said.setdefault(row.step, []).append(
            Over(
                reading=figures.grams(row.reading_g),
                reading_g=row.reading_g,
                targets=targets,
                dropped=tuple(where[index] for index in later if row.targets_g[index] is None),
                says=_over(plan, row, figures),
                spills=row.spills,
            )
        )
    return said


def _over(plan: Plan, row: overpour.Overpour, figures: Figures) -> str:
    sentences = []
    if row.spills:
        full = gettext("The brewer holds %(held)s where %(limit)s fits: don't move it, and pour no more.")
        sentences.append(full % {"held": figures.grams(row.held_g), "limit": figures.grams(row.limit_g)})
        if plan.brewer.flow is Flow.VALVE:
            sentences.append(gettext("Open the valve now."))
    more = [index for index in range(row.step + 1, len(plan.steps)) if plan.steps[index].action is Action.POUR]
    poured = [mass for index in more if (mass := row.targets_g[index]) is not None]
    if poured:
        sentences.append(gettext("Stop the next pour at %(mass)s.") % {"mass": figures.grams(poured[0])})
    elif more:
        sentences.append(gettext("All the water is in: leave out the pours that follow."))
    if row.bypass_g != plan.bypass_g:
        if row.bypass_g > 0:
            left = gettext("Add only %(mass)s to the cup at the end.")
            sentences.append(left % {"mass": figures.grams(row.bypass_g, 0)})
        elif plan.bypass_g > 0:
            sentences.append(gettext("Add no water to the cup."))
    meant = cup_ratio(plan.dose_g, plan.water_g, plan.bypass_g, plan.ice_g)
    found = cup_ratio(plan.dose_g, row.water_g, row.bypass_g, plan.ice_g)
    if found > meant + 0.05:
        weaker = gettext("The cup comes to %(found)s instead of %(meant)s: weaker.")
        sentences.append(weaker % {"found": figures.ratio(found), "meant": figures.ratio(meant)})
    elif not more or row.bypass_g != plan.bypass_g:
        sentences.append(gettext("The cup stays as large as it was meant to be."))
    return " ".join(sentences)


def beyond() -> str:
    """Say what to do with an over-pour larger than the table's."""
    return gettext(
        "That is more than this page has a plan for. Pour no more, let it drain, and taste before you add any water."
    )


def spoken() -> dict[str, str]:
    """The words of the controls and notes that the script puts on the screen."""
    return {
        "now": pgettext("present step", "Now"),
        "in": gettext("in %(time)s"),
        "only_now": gettext("Done only now"),
        "early": gettext("Begins at %(time)s"),
        "late": gettext("%(time)s late."),
        "kept": gettext("The clock stays as it is."),
        "shifted": gettext("What follows moves by %(time)s."),
        "waiting": gettext("The plan waits. The coffee doesn't: water goes on running through it."),
        "go_on": gettext("Go on"),
        "undone": gettext("Undone."),
        "sound_on": gettext("Sound is on"),
        "sound_off": gettext("Sound is off"),
        "drawings_on": gettext("Drawings are on"),
        "drawings_off": gettext("Drawings are off"),
        "no_wake": gettext("This browser may let the screen go dark. The clock goes on; touch the screen to wake it."),
        "dropped": gettext("left out"),
        "by_clock": gettext("by the clock"),
        "skipped": gettext("skipped"),
        "is_kept": gettext("Kept on this phone, and nowhere else."),
        "not_kept": gettext("This browser keeps nothing, perhaps because its window is a private one."),
    }
