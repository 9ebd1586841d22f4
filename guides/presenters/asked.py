"""Answers to customers' questions, where they belong: under the steps of a guide, and below it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Final

from django.utils.translation import get_language_info, override

from guides.models import GuideVersion
from guides.queries import answers
from guides.queries.answers import Placed

FEW: Final = 3
"""So many answers stand under a step; the page that asks about it has them all."""


@dataclass(frozen=True)
class Answered:
    """A question and its answer. ``language`` is theirs, ``foreign`` its name where it is not that of the page.

    ``revision`` is the one it was asked about, ``askers`` how many asked it.
    """

    question: str
    answer: str
    language: str
    foreign: str
    revision: int
    askers: int


@dataclass(frozen=True)
class Asked:
    """What was asked about one version; ``code`` is of the bag it is read beside, if any."""

    code: str = ""
    guide: tuple[Answered, ...] = ()
    steps: dict[int, tuple[Answered, ...]] = field(default_factory=dict)

    def at(self, place: int | None) -> tuple[Answered, ...]:
        """Give every answer of a step, or of the guide as a whole."""
        return self.steps.get(place, ()) if place else self.guide


def beside(version: GuideVersion, language: str, code: str = "") -> Asked:
    """Give what is shown of questions beside a version, in one query.

    Args:
        version: with its steps at hand.
        language: of the page.
        code: of the bag, to be carried along to the form.
    """
    found = answers.beside(version)
    with override(language):
        return Asked(
            code=code,
            guide=_of(found, None, language),
            steps={place: _of(found, place, language) for place in {row.place for row in found} if place is not None},
        )


def _of(found: Iterable[Placed], place: int | None, language: str) -> tuple[Answered, ...]:
    return tuple(
        Answered(
            question=row.question.shown,
            answer=row.question.answer,
            language=row.question.answer_language,
            foreign=_foreign(row.question.answer_language, language),
            revision=row.question.version.revision or 0,
            askers=row.askers,
        )
        for row in found
        if row.place == place
    )


def _foreign(code: str, language: str) -> str:
    return "" if code == language else str(get_language_info(code)["name_translated"])
