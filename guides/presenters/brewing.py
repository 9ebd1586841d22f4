"""From a plan to the brewing page: rows with what they hang on, and every sentence its script may need."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Final

from django.utils.translation import gettext, override

from guides.calculations.constants import LATE_KEPT_S
from guides.calculations.plan import Action, Anchor, Plan, Step
from guides.calculations.precautions import safety_notes
from guides.calculations.vessel import Flow
from guides.lifecycle import canonical, snapshot, stored
from guides.lifecycle.snapshot import Snapshot

from . import acts, brew_after, brew_sights, brewing_words, findings, guide_sheet, preparations
from .brew_sheet import START, BrewPage, BrewRow
from .numbers import Figures, clock
from .sheet import SheetStep
from .units import METRIC, Units

LEAD_S: Final = 3
"""Seconds before a step at which its row is enlarged."""
UNDO_S: Final = 5
FORGET_S: Final = 3 * 3600
"""A brew begun so long ago is not gone on with."""
_EVENTS = {Anchor.FIRST_DRIP: "drip", Anchor.DRAINED: "drained"}
_VALVE = (Action.OPEN, Action.SHUT)
_ON_SCREEN = frozenset({"hot_water", "do_not_lift", "iced_glass", "local_rules"})


def build(kept: Snapshot, language: str, units: Units = METRIC) -> BrewPage:
    """Build the brewing page of a guide, as it was published or made the reader's own.

    Args:
        kept: the guide as data, from ``guide_sheet.kept_of`` or ``adapted_sheet.readers_snapshot``.
        language: of the words and numbers.
        units: the reader's.

    Raises:
        OutOfRange: a plan that cannot be brewed.
    """
    with override(language):
        return _page(kept, Figures(language, units))


def plan_id(kept: Snapshot) -> str:
    """Name a plan, the same in every language and unit."""
    return canonical.sha256(stored.to_json(kept.plan))[:16]


def _page(kept: Snapshot, figures: Figures) -> BrewPage:
    plan, language, units = kept.plan, figures.language, figures.units
    words = kept.words_in(language)
    rows = _with_sentences(tuple(_rows(kept, figures, words.steps)), kept, figures)
    sights = brew_sights.build(kept, rows, figures)
    after = brew_after.build(kept, figures)
    return BrewPage(
        plan_id=plan_id(kept),
        title=words.title,
        coffee=kept.guide.coffee,
        brewer=kept.brewer.name,
        recipe=_recipe(plan, figures),
        before=preparations.messages(plan, guide_sheet.kept_numbers(kept), language, units),
        safety=tuple(findings.message(note, language, units) for note in safety_notes(plan) if note.code in _ON_SCREEN),
        rows=rows,
        sights=sights,
        after=after,
        told={**_told(rows, kept), "sights": sights.told, "after": {**after.told, "bypass": after.bypass}},
    )


def _recipe(plan: Plan, figures: Figures) -> str:
    parts = [figures.grams(plan.dose_g), figures.grams(plan.water_g), figures.celsius(plan.kettle_c)]
    return " · ".join(parts)


def _rows(kept: Snapshot, figures: Figures, words: tuple[snapshot.StepWords, ...]) -> list[BrewRow]:
    """The plan's steps, with a row for each thing the coffee does that something waits for."""
    plan, times = kept.plan, kept.assessment.step_times
    rows: list[BrewRow] = []
    at: dict[Anchor | int, int] = {}
    for index, said in enumerate(acts.steps(plan, times, words, figures)):
        step = plan.steps[index]
        if step.anchor in _EVENTS and step.anchor not in at:
            at[step.anchor] = len(rows)
            rows.append(_event(step.anchor, max(times[index].start_s - step.start_s, 0.0), kept, figures))
        rows.append(_act(index, step, said, _hangs_on(plan, index, at)))
        at[index] = len(rows) - 1
    if plan.brewer.flow is not Flow.CLOSED and Anchor.DRAINED not in at:
        ends_s = max((time.end_s for time in times), default=0.0)
        drained = kept.assessment.drained
        rows.append(_event(Anchor.DRAINED, drained.likely if drained else ends_s, kept, figures))
    rows[-1] = replace(rows[-1], gate=True)  # hands are still at work until somebody says so
    return rows


def _hangs_on(plan: Plan, index: int, at: dict[Anchor | int, int]) -> int:
    match plan.steps[index].anchor:
        case Anchor.START:
            return START
        case Anchor.PREVIOUS:
            return at.get(index - 1, START)
        case Anchor.OPENED:
            opened = [before for before in range(index) if plan.steps[before].action is Action.OPEN]
            return at[opened[-1]] if opened else START
        case event:
            return at[event]


def _act(index: int, step: Step, said: SheetStep, on: int) -> BrewRow:
    pour = step.action is Action.POUR
    return BrewRow(
        step=index,
        kind="pour" if pour else "valve" if step.action in _VALVE else "act",
        number=str(index + 1),
        clock=said.clock,
        brief=clock(said.start_s) if said.clock[:1].isdigit() and step.anchor not in _EVENTS else "",
        about=said.about,
        verb=brewing_words.verb(step.action),
        act=said.act,
        large=brewing_words.verb(step.action) if pour else said.act,
        how=acts.how(step) if pour else "",
        target=said.target,
        gate=step.action in (*_VALVE, Action.DECANT),
        on=on,
        after_s=step.start_s,
        lasts_s=step.end_s - step.start_s,
        beeps=2 if step.action in _VALVE else 1,
        done=brewing_words.done(step.action),
    )


def _event(anchor: Anchor, at_s: float, kept: Snapshot, figures: Figures) -> BrewRow:
    window = kept.assessment.drained if anchor is Anchor.DRAINED else kept.assessment.first_drip
    expected = figures.time_window(window) if window else clock(at_s)
    verb, act, done = brewing_words.event(anchor, expected)
    return BrewRow(
        step=None,
        kind=_EVENTS[anchor],
        number="",
        clock=expected,
        brief="",
        about=True,
        verb=verb,
        act=act,
        large=act,
        how="",
        target="",
        gate=True,
        on=START,
        after_s=at_s,
        lasts_s=0.0,
        beeps=0,
        done=done,
        late=brewing_words.drained_bands(window, figures) if anchor is Anchor.DRAINED else (),
    )


def _with_sentences(rows: tuple[BrewRow, ...], kept: Snapshot, figures: Figures) -> tuple[BrewRow, ...]:
    """Add what lateness and over-pours do, from the tables of the calculation room."""
    where = {row.step: index for index, row in enumerate(rows) if row.step is not None}
    over = brewing_words.overs(kept.plan, kept.conditions, where, figures)
    return tuple(
        row
        if row.step is None
        else replace(
            row, late=brewing_words.late_bands(kept.plan, row.step, kept.conditions), over=tuple(over.get(row.step, ()))
        )
        for row in rows
    )


def _told(rows: tuple[BrewRow, ...], kept: Snapshot) -> dict[str, Any]:
    plan = kept.plan
    return {
        "id": plan_id(kept),
        "lead": LEAD_S,
        "keep": LATE_KEPT_S.value,
        "undo": UNDO_S,
        "forget": FORGET_S,
        "shut": plan.valve_shut_at_start,
        "rows": [_row_told(row) for row in rows],
        "drip": brewing_words.drip_told(plan, kept.conditions),
        "beyond": brewing_words.beyond(),
        "words": brewing_words.spoken(),
    }


def _row_told(row: BrewRow) -> dict[str, Any]:
    told: dict[str, Any] = {
        "kind": row.kind,
        "verb": row.verb,
        "act": row.act,
        "done": row.done,
        "target": row.target,
        "gate": row.gate,
        "on": row.on,
        "after": row.after_s,
        "lasts": row.lasts_s,
        "beeps": row.beeps,
        "late": [{"to": band.to_s, "says": band.says} for band in row.late],
    }
    if row.about or not row.clock[:1].isdigit():
        told["clock"], told["brief"] = row.clock, row.brief
    if row.over:
        told["over"] = [
            {
                "reading": over.reading,
                "targets": over.targets,
                "dropped": over.dropped,
                "says": over.says,
                "spills": over.spills,
            }
            for over in row.over
        ]
    return told


def unavailable() -> str:
    """What a browser without scripts reads."""
    return gettext("Scripts are off, so this page cannot run a clock. Any clock will do: start it with the first pour.")
