"""The difference between two versions of a guide: numbers as old → new, steps matched, words as a readable text."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django.utils.text import capfirst
from django.utils.translation import get_language_info, gettext, override

from guides import choices
from guides.calculations.plan import Step
from guides.calculations.timeline import StepTime
from guides.lifecycle.snapshot import Snapshot, StepWords, Words

from . import acts, changes, effects, facts, step_matching, word_diff
from .changes import Change
from .numbers import Figures
from .step_matching import Match


@dataclass(frozen=True)
class StepChange:
    """A step that is ``kind`` "added", "removed", "moved" or "changed"; its number in each plan, ``None`` if absent."""

    kind: str
    old_number: int | None
    new_number: int | None
    act: str
    changes: tuple[Change, ...] = ()


@dataclass(frozen=True)
class WordChange:
    """A text that differs, in one language."""

    label: str
    language: str
    parts: tuple[word_diff.Part, ...]


@dataclass(frozen=True)
class Difference:
    """``expected`` holds the predictions that read otherwise on paper, ``effects`` what the changed numbers do."""

    numbers: tuple[Change, ...]
    steps: tuple[StepChange, ...]
    expected: tuple[Change, ...]
    effects: tuple[str, ...]
    words: tuple[WordChange, ...]

    @property
    def nothing(self) -> bool:
        return not (self.numbers or self.steps or self.expected or self.words)

    @property
    def words_only(self) -> bool:
        return bool(self.words) and not (self.numbers or self.steps)


def between(old: Snapshot, new: Snapshot, language: str) -> Difference:
    """Compare two snapshots.

    Args:
        old: the one compared with; a draft's through ``snapshot.of``.
        new: the other.
        language: of labels and numbers.
    """
    figures = Figures(language)
    with override(language):
        pairs = step_matching.match(old.plan.steps, new.plan.steps)
        predicted = (facts.predictions(side.targets, side.assessment, figures) for side in (old, new))
        return Difference(
            numbers=tuple(changes.of_plan(old, new, figures)),
            steps=tuple(steps(old, new, pairs, figures)),
            expected=tuple(changes.of_facts(*predicted)),
            effects=effects.of(old, new, figures),
            words=tuple(_words(old, new, pairs)),
        )


def steps(old: Snapshot, new: Snapshot, pairs: tuple[Match, ...], figures: Figures) -> Iterator[StepChange]:
    """Give the steps that came, went, moved or changed, in the language that is active."""
    for pair in pairs:
        if pair.old is None and pair.new is not None:
            act = acts.act(new.plan, new.plan.steps[pair.new], figures)
            yield StepChange("added", None, pair.new + 1, act)
        elif pair.new is None and pair.old is not None:
            yield StepChange("removed", pair.old + 1, None, acts.act(old.plan, old.plan.steps[pair.old], figures))
        elif pair.old is not None and pair.new is not None:
            found = tuple(_within(old, pair.old, new, pair.new, figures))
            if found or pair.moved:
                act = acts.act(new.plan, new.plan.steps[pair.new], figures)
                yield StepChange("moved" if pair.moved else "changed", pair.old + 1, pair.new + 1, act, found)


def _within(old: Snapshot, i: int, new: Snapshot, j: int, figures: Figures) -> Iterator[Change]:
    one, other = old.plan.steps[i], new.plan.steps[j]
    if (one.anchor, one.start_s, one.end_s) != (other.anchor, other.start_s, other.end_s):
        times = _when(one, old.assessment.step_times[i], figures), _when(other, new.assessment.step_times[j], figures)
        yield Change("time", gettext("time"), *times)
    yield from changes.number("target", gettext("scale shows"), one.target_g, other.target_g, figures.grams)
    if one.path is not other.path:
        yield Change("path", gettext("path of the stream"), _path(one), _path(other))
    if one.height is not other.height:
        yield Change("height", gettext("kettle height"), _height(one), _height(other))
    yield from changes.number("turns", gettext("turns"), one.turns, other.turns, lambda value: figures.number(value, 0))


def _when(step: Step, time: StepTime, figures: Figures) -> str:
    return acts.when(step, time, figures)


def _path(step: Step) -> str:
    return str(choices.Path(step.path.value).label) if step.path else "\N{EN DASH}"


def _height(step: Step) -> str:
    return str(choices.Height(step.height.value).label) if step.height else "\N{EN DASH}"


def _words(old: Snapshot, new: Snapshot, pairs: tuple[Match, ...]) -> Iterator[WordChange]:
    for language in dict.fromkeys([new.language, *new.words, *old.words]):
        was, now = old.words.get(language), new.words.get(language)
        name = capfirst(get_language_info(language)["name_local"])
        for label, before, after in _texts(was, now, pairs):
            if before != after:
                yield WordChange(f"{name}: {label}", language, word_diff.parts(before, after))


def _texts(was: Words | None, now: Words | None, pairs: tuple[Match, ...]) -> Iterator[tuple[str, str, str]]:
    labels = {
        "title": gettext("title"),
        "summary": gettext("in a sentence"),
        "in_depth": gettext("in depth"),
        "why": gettext("why"),
        "simple": gettext("simple words"),
    }
    for name in ("title", "summary", "in_depth", "why"):
        yield labels[name], getattr(was, name, ""), getattr(now, name, "")
    for pair in pairs:
        before, after = _step_words(was, pair.old), _step_words(now, pair.new)
        number = (pair.new if pair.new is not None else pair.old or 0) + 1
        for name in ("simple", "in_depth", "why"):
            label = gettext("step %(number)s, %(what)s") % {"number": number, "what": labels[name]}
            yield label, getattr(before, name), getattr(after, name)


def _step_words(words: Words | None, index: int | None) -> StepWords:
    return words.steps[index] if words and index is not None and index < len(words.steps) else StepWords()
