"""Customers' questions: which wait, and which answers belong beside a version's steps."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Count, QuerySet

from guides.choices import QuestionState
from guides.models import GuideVersion, Question, Step


def numbers_of(step: Step) -> str:
    """Write down a step's act and numbers: a step that has the same in another revision is the same step."""
    target = "" if step.target_g is None else f"{step.target_g:.1f}"
    return f"{step.action} {step.anchor} {step.start_s} {step.end_s} {target} {step.turns or ''}".strip()


def waiting() -> QuerySet[Question]:
    """Give the questions that nobody has looked at, oldest first."""
    return Question.objects.filter(state=QuestionState.OPEN)


@dataclass(frozen=True)
class Placed:
    """An answered question, the place of its step in a version, and how many asked it.

    ``place`` is ``None`` for the guide as a whole.
    """

    question: Question
    place: int | None
    askers: int


def beside(version: GuideVersion) -> list[Placed]:
    """Give the answered questions that belong beside a version, in one query; what most people asked comes first.

    A question whose step this version no longer has is left out.

    Args:
        version: with its steps at hand.
    """
    answered = Question.objects.filter(version__guide=version.guide_id, state=QuestionState.ANSWERED)
    counted = answered.select_related("version").annotate(askers=Count("merged") + 1)
    steps = _numbered(version)
    placed = (
        Placed(question, _place(question, steps), question.askers)
        for question in counted.order_by("-askers", "answered_at", "pk")
    )
    return [found for found in placed if found.place is not None or found.question.step is None]


def place_in(version: GuideVersion, question: Question) -> int | None:
    """Give where a version has the step a question was asked at; ``None`` where it has none like it."""
    return _place(question, _numbered(version))


def _numbered(version: GuideVersion) -> list[tuple[int, str]]:
    return [(place, numbers_of(step)) for place, step in enumerate(version.steps.all(), start=1)]


def _place(question: Question, steps: Iterable[tuple[int, str]]) -> int | None:
    """Of several steps alike, the one nearest to where it was asked."""
    asked_at = question.step
    if asked_at is None:
        return None
    alike = [place for place, numbers in steps if numbers == question.step_numbers]
    return min(alike, key=lambda place: abs(place - asked_at), default=None)
