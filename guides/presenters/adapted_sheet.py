"""A guide made one reader's own: the same sheet as the guide's, with what differs from it and why.

The page, the brewing page and the API build it here from the same parameters (``adapt_request``).
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import chain

from django.utils.translation import gettext, override

from guides.calculations.adapt import Adapted, adapt, reader_conditions
from guides.calculations.grind import Metric
from guides.calculations.validity import OutOfRange
from guides.lifecycle.grinder_table import GrinderSetting, settings_for
from guides.lifecycle.snapshot import Snapshot
from guides.models import GuideVersion, Lot

from . import adapt_gear, adapt_notes, change_words, guide_sheet, unmet_words
from .adapt_gear import Kitchen, Refused
from .adapt_request import GEAR, AdaptRequest, to_query
from .drawings import plan_drawing
from .numbers import Figures
from .sheet import AdaptedPart, Compared, Fact, GuideSheet, SheetStep


def build(
    version: GuideVersion,
    asked: AdaptRequest,
    *,
    lot: Lot | None = None,
    code: str = "",
    language: str,
    today: datetime.date,
) -> GuideSheet:
    """Build the sheet of a version for one reader; ``adapted`` says how it differs from the guide.

    Args:
        version: published or draft; best from ``queries.versions.whole``.
        asked: what the reader asks, from ``adapt_request.parse``.
        lot: the bag they brew from, if any.
        code: the lot's address code where the caller knows it.
        language: of the words and numbers.
        today: the roastery's day.

    Raises:
        Refused: gear that is not there, or a number no brew has, each with its field.
    """
    kept = guide_sheet.kept_of(version, lot)
    kitchen = adapt_gear.kitchen(asked, kept, lot, today)
    adapted = _adapted(kept, kitchen, asked)
    facts = guide_sheet.lot_facts(lot, code, language, today)
    guide = guide_sheet.of_snapshot(kept, version, facts, language, asked.units)
    figures = Figures(language, asked.units)
    with override(language):
        mine = guide_sheet.of_snapshot(_readers(kept, kitchen, adapted), version, facts, language, asked.units)
        if kitchen.brewer is not None and adapted.plan.brewer == kitchen.request.brewer:
            mine = replace(mine, brewer=kitchen.brewer.name or gettext("your own brewer"))
        part = AdaptedPart(
            query=to_query(asked),
            gear=to_query(replace(asked, offset=kitchen.offset_um), GEAR),
            changes=tuple(change_words.rows(adapted.changes, figures)),
            unmet=tuple(unmet_words.message(unmet, figures) for unmet in adapted.unmet),
            notes=tuple(adapt_notes.notes(asked, kitchen, kept, adapted, figures)),
            compared=tuple(_compared(mine, guide)),
            original_drawing=plan_drawing(kept.plan, kept.assessment, language, uid="was", units=asked.units),
        )
    return replace(
        mine,
        ingredients=tuple(_beside(mine.ingredients, guide.ingredients)),
        targets=tuple(_beside(mine.targets, guide.targets)),
        predictions=tuple(_beside(mine.predictions, guide.predictions)),
        steps=tuple(_step_beside(step, was) for step, was in zip(mine.steps, guide.steps, strict=True)),
        adapted=part,
    )


def readers_snapshot(
    version: GuideVersion, asked: AdaptRequest, *, lot: Lot | None = None, today: datetime.date
) -> Snapshot:
    """Give a version as data as it would stand had it been written for this reader, kitchen included.

    Args:
        version: published; best from ``queries.versions.whole``.
        asked: what the reader asks, from ``adapt_request.parse``.
        lot: the bag they brew from, if any.
        today: the roastery's day.

    Raises:
        Refused: as for ``build``.
    """
    kept = guide_sheet.kept_of(version, lot)
    kitchen = adapt_gear.kitchen(asked, kept, lot, today)
    readers = _readers(kept, kitchen, _adapted(kept, kitchen, asked))
    return replace(readers, conditions=reader_conditions(kitchen.request, kept.conditions))


def _adapted(kept: Snapshot, kitchen: Kitchen, asked: AdaptRequest) -> Adapted:
    try:
        return adapt(kept.plan, kitchen.request, kept.conditions, kept.targets, known=kept.assessment)
    except OutOfRange as refused:
        # On the field whose wish led here: no number that was typed is wrong by itself.
        wishes = ("holds", "brewer") if refused.argument == "usable_ml" else ("size", "dose", "bag")
        field = next((name for name in wishes if getattr(asked, name)), "")
        raise Refused((adapt_gear.problem(field, refused),)) from refused


def _readers(kept: Snapshot, kitchen: Kitchen, adapted: Adapted) -> Snapshot:
    """The snapshot as it would stand had the guide been written for this reader."""
    taken = kitchen.brewer is not None and adapted.plan.brewer == kitchen.request.brewer
    return replace(
        kept,
        plan=adapted.plan,
        assessment=adapted.assessment,
        brewer=kitchen.brewer if taken and kitchen.brewer else kept.brewer,
        grinders=_grinders(kept, kitchen, adapted),
    )


def _grinders(kept: Snapshot, kitchen: Kitchen, adapted: Adapted) -> tuple[GrinderSetting, ...]:
    """The reader's own grinder alone, or every grinder of the roastery's for the grind as it is now."""
    setting = adapted.setting
    if setting is not None:
        name = kitchen.grinder or gettext("Your grinder")
        word = kitchen.setting_word or gettext("setting")
        return (GrinderSetting(name, "own", word, setting.setting, setting.landed_um, Metric.LASER),)
    if kitchen.request.grinder is not None:
        return ()
    return kept.grinders if adapted.plan.grind_um == kept.plan.grind_um else settings_for(adapted.plan.grind_um)


def _beside(mine: Sequence[Fact], guide: Sequence[Fact]) -> Iterator[Fact]:
    """Give each figure with the guide's own, where that reads differently."""
    was = {fact.key: fact for fact in guide}
    for fact in mine:
        old = was.get(fact.key)
        if old is None or (old.value, _figure(old)) == (fact.value, _figure(fact)):
            yield fact
        else:
            yield replace(fact, was=", ".join(part for part in (old.value, _figure(old)) if part))


def _figure(fact: Fact) -> str:
    """What stands beside a figure, if it holds a number of its own."""
    return fact.note if any(letter.isdigit() for letter in fact.note) else ""


def _step_beside(step: SheetStep, was: SheetStep) -> SheetStep:
    return replace(
        step,
        was_clock=was.clock if was.clock != step.clock else "",
        was_target=was.target if was.target != step.target else "",
    )


def _compared(mine: GuideSheet, guide: GuideSheet) -> Iterator[Compared]:
    """Set the guide beside the reader's, line by line: what goes in, what the scale shows, what to expect."""
    was = {fact.key: fact for fact in chain(guide.ingredients, guide.predictions)}
    have = {fact.key for fact in chain(mine.ingredients, mine.predictions)}
    if mine.brewer != guide.brewer:
        yield Compared(gettext("Brewer"), mine.brewer, guide.brewer, differs=True)
    for fact in mine.ingredients:
        yield _line(fact.label, fact, was.get(fact.key))
    for gone in guide.ingredients:
        if gone.key not in have:
            yield _line(gone.label, None, gone)
    for step, old in zip(mine.steps, guide.steps, strict=True):
        if step.target or old.target:
            label = gettext("Scale at %(time)s") % {"time": step.clock}
            yield Compared(label, step.target, old.target, step.target != old.target)
    for fact in mine.predictions:
        yield _line(fact.label, fact, was.get(fact.key))


def _line(label: str, mine: Fact | None, guide: Fact | None) -> Compared:
    values = [
        "" if fact is None else ", ".join(part for part in (fact.value, _figure(fact)) if part)
        for fact in (mine, guide)
    ]
    return Compared(label, values[0], values[1], values[0] != values[1])
