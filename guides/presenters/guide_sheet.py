"""From a guide version to the sheet that page, insert, API and structured data render."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator
from dataclasses import replace

from django.utils import timezone
from django.utils.translation import get_language_info, override

from guides.calculations.precautions import safety_notes
from guides.lifecycle import snapshot
from guides.lifecycle.snapshot import Snapshot
from guides.models import GuideVersion, Lot
from guides.queries import lots

from . import acts, bag, drawings, facts, findings, pictures, preparations
from .numbers import Figures
from .sheet import Fact, GuideSheet, LotFacts, SheetStep
from .units import METRIC, Units

__all__ = ["Fact", "GuideSheet", "LotFacts", "SheetStep", "build", "kept_of", "lot_facts", "of_snapshot"]

# Cautions that help whoever brews; the others are for whoever writes.
_FOR_READERS = frozenset({"near_shut_limit", "near_limit", "rim_left_dry", "brew_ratio_tight", "much_bypass"})

# Safety notes that fit an insert: what the preparations do not say already and whoever brews must know.
_ON_PAPER = frozenset(
    {"hot_water", "do_not_lift", "warm_the_glass", "iced_glass", "cool_before_drinking", "local_rules"}
)


def build(
    version: GuideVersion, *, lot: Lot | None = None, code: str = "", language: str, today: datetime.date
) -> GuideSheet:
    """Build the sheet of a version: as it was published, or as its draft stands.

    Args:
        version: published, withdrawn or draft; best from ``queries.versions.whole``.
        lot: the bag it is read beside, if any.
        code: the lot's address code where the caller knows it; looked up otherwise.
        language: of the words and numbers.
        today: the roastery's day, for the lot's window.

    Raises:
        OutOfRange: a draft with a number that no brew has.
    """
    kept = kept_of(version, lot)
    return of_snapshot(kept, version, lot_facts(lot, code, language, today), language)


def kept_of(version: GuideVersion, lot: Lot | None = None) -> Snapshot:
    """Give a version as data: as it was published, or as its draft stands."""
    return snapshot.read(version) if version.snapshot is not None else snapshot.of(version, lot)


def lot_facts(lot: Lot | None, code: str, language: str, today: datetime.date) -> LotFacts | None:
    return None if lot is None else bag.lot_facts(lot, code or lots.code_of(lot), language, today)


def of_snapshot(
    kept: Snapshot, version: GuideVersion, lot: LotFacts | None, language: str, units: Units = METRIC
) -> GuideSheet:
    """Lay out a version that is at hand as data, in one language and one reader's units."""
    with override(language):
        return _sheet(kept, version, lot, Figures(language, units))


def _sheet(kept: Snapshot, version: GuideVersion, lot: LotFacts | None, figures: Figures) -> GuideSheet:
    plan, assessment, language, units = kept.plan, kept.assessment, figures.language, figures.units
    words = kept.words_in(language)
    return GuideSheet(
        guide_number=kept.guide.number,
        slug=kept.guide.slug,
        revision=version.revision,
        state=version.state,
        language=language,
        direction="rtl" if get_language_info(language)["bidi"] else "ltr",
        title=words.title,
        summary=words.summary,
        coffee=kept.guide.coffee,
        coffee_slug=kept.guide.coffee_slug,
        brewer=kept.brewer.name,
        paper=kept.brewer.paper,
        ingredients=tuple(facts.ingredients(plan, figures)),
        targets=tuple(facts.targets(plan, kept.targets, assessment, figures)),
        predictions=tuple(facts.predictions(kept.targets, assessment, figures)),
        before=preparations.messages(plan, kept_numbers(kept), language, units),
        steps=tuple(
            replace(step, untranslated=kept.untranslated(language, step.number - 1))
            for step in _illustrated(acts.steps(plan, assessment.step_times, words.steps, figures), kept, language)
        ),
        cautions=tuple(
            findings.message(finding, language, units)
            for finding in assessment.cautions
            if finding.code in _FOR_READERS
        ),
        safety=tuple(findings.message(note, language, units) for note in safety_notes(plan)),
        safety_on_paper=tuple(
            findings.message(note, language, units) for note in safety_notes(plan) if note.code in _ON_PAPER
        ),
        in_depth=words.in_depth,
        why=words.why,
        bypass=tuple(facts.bypass(assessment, figures)),
        grinders=tuple(facts.grinders(kept.grinders, figures)),
        lot=lot,
        published_on=timezone.localdate(version.published_at) if version.published_at else None,
        change_note=version.change_note,
        words_language=language if language in kept.words else kept.language,
        source_language=kept.language,
        untranslated=kept.untranslated(language),
        rests_on=facts.rests_on(assessment.drained or assessment.cup_g),
        withdrawn=version.withdrawn_reason,
        coffee_picture=_coffee_picture(version, language),
        plan_drawing=drawings.plan_drawing(plan, assessment, language, units=units),
        cone_drawing=drawings.cone_drawing(plan, assessment, language, units=units),
        path_drawings=drawings.pour_path_drawings(plan, assessment.step_times, language, units=units),
        temperature_drawing=drawings.temperature_drawing(plan, assessment, language, units=units),
        ends_s=assessment.ends_s,
    )


def _illustrated(steps: Iterable[SheetStep], kept: Snapshot, language: str) -> Iterator[SheetStep]:
    """Steps with what they show besides words."""
    media = {shown.step: shown for shown in kept.media}
    for index, step in enumerate(steps):
        if shown := media.get(index):
            yield replace(
                step,
                picture=pictures.of_kept(shown.picture, language, kept.language),
                clip=pictures.clip_of(shown.clip, language, kept.language),
            )
        else:
            yield step


def _coffee_picture(version: GuideVersion, language: str) -> pictures.Picture | None:
    """The coffee as it looks today: its picture may change, so no version keeps it."""
    row = getattr(version.guide.coffee, "picture", None)
    return pictures.of_row(row, language)


def kept_numbers(kept: Snapshot) -> dict[str, float]:
    """What was worked out at publishing, and a server the roaster asks to be larger still."""
    assessment = kept.assessment
    return {
        "server_ml": max(assessment.server_ml, kept.server_ml or 0),
        "kettle_fill_g": assessment.kettle_fill_g,
        "rinse_g": assessment.rinse_g,
    }
