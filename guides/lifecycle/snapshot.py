"""A guide version in full, as data: what was put in, what came out, and every word. Pages and inserts read this."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any, Final

from guides.calculations.assessment import Assessment, Conditions, Targets
from guides.calculations.constants import CALCULATION_VERSION
from guides.calculations.plan import Plan
from guides.models import Brewer, GuideVersion, Lot, VersionText

from . import canonical, stored
from .assessing import assess_conditions, conditions_for
from .grinder_table import GrinderSetting, settings_for
from .plan_of import plan_of, targets_of
from .step_media import StepMedia, media_of

FORMAT: Final = 1


@dataclass(frozen=True)
class StepWords:
    """What is said beside one step, in one language."""

    simple: str = ""
    in_depth: str = ""
    why: str = ""


@dataclass(frozen=True)
class Words:
    """Every word of a version in one language; ``steps`` runs along the plan's steps."""

    title: str
    summary: str
    in_depth: str
    why: str
    steps: tuple[StepWords, ...]


@dataclass(frozen=True)
class GuideNames:
    """What the guide is for, as it was called at the time."""

    number: int
    slug: str
    coffee: str
    coffee_slug: str
    origin: str
    process: str
    roast_level: str


@dataclass(frozen=True)
class BrewerNames:
    """The brewer and its parts as they were called; empty where there is none."""

    name: str
    slug: str
    vessel: str
    valve_base: str
    paper: str


@dataclass(frozen=True)
class Snapshot:
    """A version at one moment. ``language`` is the one it was written in; ``words`` holds that and every translation.

    ``revision`` and ``published_on`` are ``None`` while it is a draft. The plan carries the brewer's geometry.
    """

    format: int
    calculation_version: str
    guide: GuideNames
    revision: int | None
    published_at: datetime.datetime | None
    brewer: BrewerNames
    plan: Plan
    targets: Targets
    server_ml: int | None
    conditions: Conditions
    assessment: Assessment
    grinders: tuple[GrinderSetting, ...]
    language: str
    words: dict[str, Words]
    change_note: str
    media: tuple[StepMedia, ...] = ()

    def words_in(self, language: str) -> Words:
        """Give the words of a language; where a text of it is missing, the one it was translated from."""
        source, own = self.words[self.language], self.words.get(language)
        if own is None:
            return source
        steps = (
            StepWords(one.simple or other.simple, one.in_depth or other.in_depth, one.why or other.why)
            for one, other in zip(own.steps, source.steps, strict=True)
        )
        return Words(
            own.title or source.title,
            own.summary or source.summary,
            own.in_depth or source.in_depth,
            own.why or source.why,
            tuple(steps),
        )

    def untranslated(self, language: str, step: int | None = None) -> frozenset[str]:
        """Name the texts of a guide or a step that stand in the language it was written in, in a translation."""
        own, source = self.words.get(language), self.words[self.language]
        if own is None or language == self.language:
            return frozenset()
        one: Any = own if step is None else own.steps[step]
        other: Any = source if step is None else source.steps[step]
        names = ("title", "summary", "in_depth", "why") if step is None else ("simple", "in_depth", "why")
        return frozenset(name for name in names if getattr(other, name) and not getattr(one, name))


# Of a coffee with one lot nothing is said of others, as before lots were told apart.
stored.leave_out_when_empty(Conditions, "other_lots_flow_factors")
# A version of words alone is kept, and hashed, as it was before steps could show pictures.
stored.leave_out_when_empty(Snapshot, "media")


def of(version: GuideVersion, lot: Lot | None = None, *, at: datetime.datetime | None = None) -> Snapshot:
    """Give a version as it stands now: for previews, and for publishing. Trial brews count up to ``at``.

    Raises:
        OutOfRange: a number that no brew has.
    """
    conditions = conditions_for(version, lot, at=at)
    return Snapshot(
        format=FORMAT,
        calculation_version=CALCULATION_VERSION,
        guide=_guide_names(version),
        revision=version.revision,
        published_at=version.published_at,
        brewer=brewer_names(version.brewer),
        plan=plan_of(version),
        targets=targets_of(version),
        server_ml=version.server_ml,
        conditions=conditions,
        assessment=assess_conditions(version, conditions),
        grinders=settings_for(float(version.grind_um)),
        language=version.language,
        words=dict(words_of(version)),
        change_note=version.change_note,
        media=media_of(version),
    )


def take(version: GuideVersion, *, at: datetime.datetime | None = None) -> dict[str, Any]:
    """Give what publishing keeps of a version: plain JSON.

    Raises:
        OutOfRange: a number that no brew has.
    """
    return stored.to_json(of(version, at=at))


def take_words(version: GuideVersion, numbers_of: GuideVersion) -> dict[str, Any]:
    """Give what is kept of a version whose words alone are new: every number is the published one's.

    Raises:
        ValueError: ``numbers_of`` was never published, or its snapshot cannot be read.
    """
    kept = replace(
        read(numbers_of),
        revision=version.revision,
        published_at=version.published_at,
        words=dict(words_of(version)),
        change_note=version.change_note,
    )
    return stored.to_json(kept)


def read(version: GuideVersion) -> Snapshot:
    """Give a published version as it was published, whatever has changed since.

    Raises:
        ValueError: the version was never published, or its snapshot cannot be read.
    """
    if version.snapshot is None:
        raise ValueError(f"{version} was never published; use snapshot.of for a draft.")
    return stored.from_json(version.snapshot, Snapshot)


def digest(kept: dict[str, Any]) -> str:
    """Give the SHA-256 of a kept snapshot."""
    return canonical.sha256(kept)


def _guide_names(version: GuideVersion) -> GuideNames:
    guide, coffee = version.guide, version.guide.coffee
    return GuideNames(
        guide.number, guide.slug, coffee.name, coffee.slug, coffee.origin, coffee.process, coffee.roast_level
    )


def brewer_names(brewer: Brewer) -> BrewerNames:
    """Give a brewer and its parts as they are called."""
    return BrewerNames(
        name=brewer.name,
        slug=brewer.slug,
        vessel=brewer.vessel.name,
        valve_base=brewer.valve_base.name if brewer.valve_base else "",
        paper=brewer.paper.name if brewer.paper else "",
    )


def words_of(version: GuideVersion) -> Iterable[tuple[str, Words]]:
    """Give the words of a version by language, the one it was written in first."""
    steps = list(version.steps.all())
    own = tuple(StepWords(step.simple, step.in_depth, step.why) for step in steps)
    yield version.language, Words(version.title, version.summary, version.in_depth, version.why, own)
    for text in version.texts.all():
        if text.language == version.language:
            continue
        translated = tuple(
            next(
                (
                    StepWords(row.said("simple", step), row.said("in_depth", step), row.said("why", step))
                    for row in step.texts.all()
                    if row.language == text.language
                ),
                StepWords(),
            )
            for step in steps
        )
        title, summary, in_depth, why = (text.said(name, version) for name in VersionText.TEXTS)
        yield text.language, Words(title, summary, in_depth, why, translated)
