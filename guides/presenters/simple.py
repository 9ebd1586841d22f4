"""A step in a novice's words, composed from the plan where the roaster has written none.

No term of the trade and no number: time and scale reading stand beside each line, the same as in the table.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from django.utils.translation import gettext

from guides.calculations.plan import Action, Path, Plan, Step

from .sheet import GuideSheet, SheetStep

LINES: Final = 6
"""As many lines as are read at one look."""


@dataclass(frozen=True)
class ShortLine:
    """One line: ``step`` gives the time, ``said`` the steps with words of the roaster's; ``composed`` are ours."""

    step: SheetStep
    said: tuple[SheetStep, ...]
    composed: str
    target: str
    was_target: str


def words(plan: Plan, step: Step) -> str:
    """Say what to do, in the language that is active."""
    match step.action:
        case Action.POUR:
            return _pour(plan, step)
        case Action.ADD_BYPASS if plan.bypass_to_taste:
            return gettext("Taste, then add hot water until you like it.")
        case action:
            return {
                Action.OPEN: gettext("Open the valve."),
                Action.SHUT: gettext("Shut the valve."),
                Action.STIR: gettext("Stir gently."),
                Action.SWIRL: gettext("Swirl it gently."),
                Action.LID: gettext("Put the lid on."),
                Action.BREAK_CRUST: gettext("Push the coffee on top under, and skim the foam off."),
                Action.DECANT: gettext("Pour the coffee off slowly, and leave the last sip behind."),
                Action.ADD_BYPASS: gettext("Add hot water to the cup."),
            }[action]


def _pour(plan: Plan, step: Step) -> str:
    pours = [other for other in plan.steps if other.action is Action.POUR]
    if len(pours) == 1:
        return gettext("Pour in all the water, slowly.")
    if step is pours[0]:
        return gettext("Pour until all the coffee is wet.")
    if step is pours[-1]:
        return gettext("Pour in the last of the water.")
    if step.path is Path.CENTRE:
        return gettext("Pour again, slowly, into the middle.")
    return gettext("Pour again, in slow circles.")


def lines(sheet: GuideSheet) -> list[ShortLine]:
    """Give a guide in about six lines; what is done without pouring joins the line before where there are more."""
    found = [
        ShortLine(step, (step,) if step.simple else (), step.plain, step.target, step.was_target)
        for step in sheet.steps
    ]
    while len(found) > LINES:
        joins = [place for place in range(1, len(found)) if not found[place].target]
        if not joins:
            break
        place = joins[-1]
        before, after = found[place - 1], found.pop(place)
        found[place - 1] = _joined(before, after)
    return found


def _joined(before: ShortLine, after: ShortLine) -> ShortLine:
    said = (*before.said, *after.said) if before.said and after.said else ()
    return ShortLine(before.step, said, f"{before.composed} {after.composed}", before.target, before.was_target)
