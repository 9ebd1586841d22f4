"""A wanted first drip turned into an opening of the valve, with an earlier and a later one beside it."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from guides.calculations.assessment import Assessment, Conditions
from guides.calculations.openings import Opening, compare_openings, opening_for_first_drip, with_opening
from guides.calculations.plan import Action, Plan
from guides.calculations.validity import OutOfRange
from guides.calculations.vessel import Flow
from guides.presenters.numbers import Figures, clock

from .clock import ClockField

DRIP = "_drip"
"""Name of the field in which a first drip is wished for."""
OPEN_AT = "_open_at"
"""Name of the buttons that put an opening into the steps."""
BESIDE_S = 15
"""Seconds by which the two openings beside the wanted one lie apart."""


@dataclass(frozen=True)
class Choice:
    """One opening. ``rows`` is what the fields of the steps become with it: names and values, as JSON."""

    opening_s: int
    opening: str
    first_drip: str
    contact: str
    drained: str
    wanted: bool
    rows: str


@dataclass(frozen=True)
class DripChoice:
    """``typed`` as it was written; ``problem`` says why there is nothing to choose."""

    typed: str
    expected: str
    problem: str = ""
    choices: tuple[Choice, ...] = ()


def choice(
    plan: Plan, conditions: Conditions, assessment: Assessment, prefixes: Sequence[str], typed: str, language: str
) -> DripChoice | None:
    """Give the openings for a wanted first drip; ``None`` where no shut valve is to be opened.

    Args:
        plan: the brew.
        conditions: where it is brewed, and with which coffee.
        assessment: of that plan.
        prefixes: names of the plan's steps in the form.
        typed: the wanted first drip.
        language: of numbers.
    """
    if plan.brewer.flow is not Flow.VALVE or not plan.valve_shut_at_start:
        return None
    say = Figures(language)
    expected = say.about(say.time_window(assessment.first_drip)) if assessment.first_drip else ""
    try:
        wanted_s = ClockField(required=False).clean(typed)
    except ValidationError as error:
        return DripChoice(typed, expected, " ".join(error.messages))
    if not wanted_s:
        return DripChoice(typed, expected)
    try:
        moved = opening_for_first_drip(plan, wanted_s, conditions)
    except OutOfRange as error:
        return DripChoice(typed, expected, _why_not(error))
    opening_s = next(round(step.start_s) for step in moved.steps if step.action is Action.OPEN)
    found = []
    for at_s in (opening_s - BESIDE_S, opening_s, opening_s + BESIDE_S):
        try:
            (row,) = compare_openings(plan, [at_s], conditions)
        except OutOfRange:  # no such moment; the others stand
            continue
        found.append(_choice(row, plan, prefixes, at_s == opening_s, say))
    return DripChoice(typed, expected, choices=tuple(found))


def rows_for(plan: Plan, prefixes: Sequence[str], opening_s: float) -> dict[str, str]:
    """Give the fields of the steps that change when the valve opens at another moment, with their new values.

    Args:
        plan: the brew.
        prefixes: names of its steps in the form.
        opening_s: clock seconds.

    Raises:
        OutOfRange: there is no shut valve to open.
    """
    changed = {}
    for prefix, before, after in zip(prefixes, plan.steps, with_opening(plan, opening_s).steps, strict=True):
        if before != after:
            changed[f"{prefix}-start_s"] = clock(after.start_s)
            changed[f"{prefix}-end_s"] = clock(after.end_s)
            changed[f"{prefix}-anchor"] = after.anchor.value
    return changed


def _choice(row: Opening, plan: Plan, prefixes: Sequence[str], wanted: bool, say: Figures) -> Choice:
    return Choice(
        opening_s=round(row.opening_s),
        opening=clock(row.opening_s),
        first_drip="" if row.first_drip_s is None else clock(row.first_drip_s),
        contact="" if row.first_contact_s is None else say.seconds(round(row.first_contact_s)),
        drained="" if row.drained_s is None else clock(row.drained_s),
        wanted=wanted,
        rows=json.dumps(rows_for(plan, prefixes, row.opening_s)),
    )


def _why_not(error: OutOfRange) -> str:
    if error.argument == "openings":
        return _("There is no step that opens the valve. Add one, at any moment; its time is set from here.")
    if error.argument == "wanted_s" and error.low is not None:
        soonest = {"soonest": clock(error.low)}
        return _("Not that soon: the first drop falls at %(soonest)s at the earliest.") % soonest
    return _("No opening gives a first drip then.")
