"""One trial brew as its page tells of it: judged, what to change next, and what it says of a new lot."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final
from urllib.parse import urlencode

from django.utils.translation import gettext

from guides.calculations.advice import Advice, Balance, Strength, next_change
from guides.calculations.bed_check import BedSeen, EndSeen, WallSeen, check_bed
from guides.calculations.validity import OutOfRange, Window
from guides.lifecycle import learning, new_lot, trials
from guides.lifecycle.assessing import conditions_of
from guides.lifecycle.brewed_plan import NoPlan, brewed_plan, room_c
from guides.models import TrialBrew
from guides.queries import evidence, misfits

from . import advice_words, brew_after, pictures, trial_judged, trial_words
from .numbers import Figures, clock
from .pictures import Picture
from .trial_judged import Judged

# The number of a plan that each piece of advice changes.
_WISH: Final = {
    "less_bypass": ("bypass_g", "after_g"),
    "more_bypass": ("bypass_g", "after_g"),
    "less_water": ("water_g", "after_g"),
    "more_water": ("water_g", "after_g"),
    "finer": ("grind_um", "after_um"),
    "coarser": ("grind_um", "after_um"),
}


@dataclass(frozen=True)
class TrialSheet:
    """``advice`` is one change with its effect; ``asked`` the part of an address that plans it, empty where none."""

    name: str
    judged: tuple[Judged, ...]
    advice: str
    asked: str
    bed: str
    new_lot: tuple[str, ...]
    aside: str
    coffee: int
    brewer: int
    repeats: int | None
    photo: Picture | None


def build(key: int, figures: Figures) -> TrialSheet:
    """Build what is said of a saved brew, by its key, in the language that is active."""
    brew = evidence.whole(TrialBrew.objects.filter(pk=key)).get()
    learning.learnt([brew])
    foreseen = trials.predicted(brew)
    window = foreseen.drained if foreseen else None
    advice = _advice(brew, window)
    return TrialSheet(
        name=trial_words.brew_name(brew, figures),
        judged=trial_judged.judge(brew, figures),
        advice=advice_words.message(advice.code, advice.numbers, figures) if advice else "",
        asked=_asked(brew, advice),
        bed=_bed(brew, window),
        new_lot=_new_lot(brew, figures),
        aside=gettext("Set aside: %(reason)s") % {"reason": brew.set_aside_reason} if brew.is_set_aside else "",
        coffee=brew.lot.coffee_id,
        brewer=brew.brewer_id,
        repeats=brew.repeats_id,
        photo=pictures.of_row(brew.picture, figures.language) if hasattr(brew, "picture") else None,
    )


def _advice(brew: TrialBrew, window: Window | None) -> Advice | None:
    """The one thing to change, where somebody said how it tasted."""
    if not brew.found and not brew.balance:
        return None
    try:
        plan = replace(brewed_plan(brew), bypass_g=float(brew.bypass_g))
        known = conditions_of(brew.lot.coffee_id, brew.brewer_id, brew.lot)
        return next_change(
            plan,
            Strength(brew.found or Strength.RIGHT),
            Balance(brew.balance or Balance.BALANCED),
            conditions=replace(known, room_c=room_c(brew)),
            measured_drained_s=None if brew.drained_s is None else float(brew.drained_s),
            window=window,
        )
    except (OutOfRange, NoPlan):
        return None


def _asked(brew: TrialBrew, advice: Advice | None) -> str:
    if advice is None or advice.code not in _WISH:
        return ""
    name, number = _WISH[advice.code]
    return urlencode({"trial": brew.pk, name: f"{advice.numbers[number]:g}"})


def _bed(brew: TrialBrew, window: Window | None) -> str:
    if not brew.wall or not brew.bed:
        return ""
    end = EndSeen.RIGHT
    if window is not None and brew.drained_s is not None:
        end = EndSeen.SOON if brew.drained_s < window.low else EndSeen.LATE if brew.drained_s > window.high else end
    return brew_after.bed_words(check_bed(WallSeen(brew.wall), BedSeen(brew.bed), end))


def _new_lot(brew: TrialBrew, figures: Figures) -> tuple[str, ...]:
    """What a brew of a published guide says of its lot, and what is suggested where the guide does not fit."""
    found = new_lot.verdict(brew)
    if found is None:
        return ()
    known = {
        "guide": found.version,
        "lot": brew.lot.name,
        "at": clock(found.measured_s),
        "window": figures.time_window(found.window),
    }
    if found.inside:
        said = [gettext("%(guide)s fits %(lot)s: drained at %(at)s, inside %(window)s.") % known]
        if found.is_shown:
            said.append(gettext("The lot has the guide."))
        return tuple(said)
    said = [gettext("%(guide)s does not fit %(lot)s: drained at %(at)s, outside %(window)s.") % known]
    if found.is_held:
        said.append(gettext("The guide is held for this lot."))
    elif (kept := misfits.kept(brew)) is not None:
        said.append(
            gettext("It was kept for this lot all the same, by %(who)s: %(reason)s")
            % {"who": kept.by.display_name, "reason": kept.reason}
        )
    if not found.is_newest:
        said.append(
            gettext("%(version)s has been published since; see its own check brew.") % {"version": found.newest}
        )
        return tuple(said)
    suggested = new_lot.suggestion(brew, found)
    if suggested is None:
        said.append(gettext("No grind alone brings it back inside: look at dose, pours and paper first."))
        return tuple(said)
    words = gettext(
        "A suggestion, not brewed yet: grind %(after)s instead of %(before)s. It should move the drained time by about "
        "%(moves)s, to about %(to)s."
    )
    sign = "+" if suggested.moves_s > 0 else "−"
    said.append(
        words
        % {
            "after": figures.micrometres(suggested.grind_um),
            "before": figures.micrometres(brew.grind_um),
            "moves": sign + figures.seconds(abs(suggested.moves_s)),
            "to": clock(suggested.drained_s),
        }
    )
    return tuple(said)
