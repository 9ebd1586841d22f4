"""The first half of every act on a question: take hold of it, look again, refuse."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from django.utils.functional import Promise
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.choices import QuestionState, Verb
from guides.lifecycle import audit, roles
from guides.lifecycle.errors import Refusal, Refused, refuse_if
from guides.models import Question, User

PERMISSIONS: Final = ("guides.answer_question",)

# From where each act may start.
SOURCES: Final[dict[Verb, frozenset[QuestionState]]] = {
    Verb.ANSWERED: frozenset({QuestionState.OPEN, QuestionState.ANSWERED, QuestionState.PRIVATE}),
    Verb.KEPT_PRIVATE: frozenset({QuestionState.OPEN, QuestionState.ANSWERED}),
    Verb.MARKED_SPAM: frozenset({QuestionState.OPEN, QuestionState.PRIVATE}),
    Verb.REOPENED: frozenset({QuestionState.PRIVATE, QuestionState.SPAM, QuestionState.MERGED}),
    Verb.MERGED: frozenset({QuestionState.OPEN, QuestionState.ANSWERED, QuestionState.PRIVATE}),
    Verb.NOTED: frozenset({QuestionState.ANSWERED}),
    Verb.DELETED: frozenset(QuestionState),
}


def begin(question: Question, verb: Verb, act: str | Promise, *, by: User) -> Question:
    """Lock a question and give it as it stands now. Call inside a transaction; ``act`` ends "You may not …".

    Raises:
        Refused: the person may not, somebody has deleted it, or it stands where this makes no sense.
    """
    refuse_if(roles.refusals(by, PERMISSIONS, act))
    fresh = locked([question.pk]).get(question.pk)
    if fresh is None:
        raise Refused(Refusal(_("This question is not there any more; somebody has deleted it.")))
    refuse_if(state_refusals(fresh, SOURCES[verb]))
    return fresh


def locked(keys: Iterable[int]) -> dict[int, Question]:
    """Lock questions, always in the same order, and give those that are still there."""
    rows = Question.objects.select_for_update(of=("self",)).select_related("version__guide").filter(pk__in=list(keys))
    return {row.pk: row for row in rows.order_by("pk")}


def state_refusals(question: Question, sources: frozenset[QuestionState]) -> list[Refusal]:
    """Why an act does not fit where a question stands; empty if it does."""
    if question.state in sources:
        return []
    return [
        Refusal(
            format_lazy(
                _("It is {state} now, and this does not fit. Look at it again."), state=question.get_state_display()
            ),
            field="state",
        )
    ]


def record(verb: Verb, question: Question, *, by: User, into: int | None = None) -> None:
    """Write the act down: which question, and into which other; never their words."""
    audit.record(verb, by=by, version=question.version, question=question.pk, into=into)
