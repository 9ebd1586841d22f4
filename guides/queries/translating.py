"""How far the words of a version are translated: what is missing, and what was made from words that have changed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from guides.models import GuideVersion, Step, StepText, VersionText

from . import house, versions


@dataclass(frozen=True)
class Text:
    """One text in one language beside the words it is made from; ``step`` is ``None`` for the version's own texts.

    ``was`` holds the earlier words where it is outdated.
    """

    step: Step | None
    name: str
    source: str
    translation: str
    was: str = ""
    is_outdated: bool = False

    @property
    def is_missing(self) -> bool:
        return not self.translation

    @property
    def key(self) -> str:
        """Names it in a form."""
        return self.name if self.step is None else f"step-{self.step.pk}-{self.name}"


@dataclass(frozen=True)
class Progress:
    """How many of ``total`` texts customers read in a language."""

    language: str
    total: int
    missing: int
    outdated: int

    @property
    def done(self) -> int:
        return self.total - self.missing - self.outdated


def languages(version: GuideVersion) -> list[str]:
    """Give the languages a version is to be read in besides its own: the roastery's, and those it has words in."""
    wanted = dict.fromkeys([*house.current().languages, *versions.languages(version)])
    return [code for code in wanted if code != version.language]


def texts(version: GuideVersion, language: str) -> list[Text]:
    """Give every text that has words to be made from, or has been translated, in reading order.

    Args:
        version: best from ``versions.whole``.
        language: of the translation.
    """
    own = next((row for row in version.texts.all() if row.language == language), None)
    found = list(_texts(None, version, own, VersionText.TEXTS))
    for step in version.steps.all():
        row = next((row for row in step.texts.all() if row.language == language), None)
        found += _texts(step, step, row, StepText.TEXTS)
    return found


def progress(version: GuideVersion, language: str) -> Progress:
    """Count what is missing and outdated in a language."""
    found = [text for text in texts(version, language) if text.source]
    missing, outdated = (sum(getattr(text, name) for text in found) for name in ("is_missing", "is_outdated"))
    return Progress(language, len(found), missing, outdated)


def left(version: GuideVersion, offered: Iterable[str]) -> list[Progress]:
    """Count it for each offered language in which anything is missing or outdated."""
    counted = (progress(version, code) for code in offered if code != version.language)
    return [count for count in counted if count.missing or count.outdated]


def _texts(
    step: Step | None, source: GuideVersion | Step, row: VersionText | StepText | None, names: Iterable[str]
) -> Iterator[Text]:
    for name in names:
        words, translation = getattr(source, name), getattr(row, name, "")
        if words or translation:
            outdated = row is not None and row.is_outdated(name, source)
            was = row.made_from.get(name, "") if row is not None and outdated else ""
            yield Text(step, name, words, translation, was, outdated)
