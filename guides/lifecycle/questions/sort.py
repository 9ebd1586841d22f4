"""Puts a question aside, or back among the open ones."""

from __future__ import annotations

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from guides.choices import QuestionState, Verb
from guides.lifecycle.errors import Refusal, Refused
from guides.models import Question, User

from . import moves


def keep_private(question: Question, *, by: User) -> Question:
    """Show nothing of it to customers, now or any more. An answer it has is kept for staff.

    Raises:
        Refused: not allowed, or neither open nor answered.
    """
    with transaction.atomic():
        fresh = moves.begin(question, Verb.KEPT_PRIVATE, _("sort questions"), by=by)
        return _put(fresh, QuestionState.PRIVATE, Verb.KEPT_PRIVATE, by)


def mark_spam(question: Question, *, by: User) -> Question:
    """Call it spam.

    Raises:
        Refused: not allowed, answered, or others were found to ask the same.
    """
    with transaction.atomic():
        fresh = moves.begin(question, Verb.MARKED_SPAM, _("sort questions"), by=by)
        if fresh.merged.exists():
            raise Refused(Refusal(_("Others were merged into this question; reopen them first."), field="state"))
        return _put(fresh, QuestionState.SPAM, Verb.MARKED_SPAM, by)


def reopen(question: Question, *, by: User) -> Question:
    """Put it back among the open questions, on its own.

    Raises:
        Refused: not allowed, or open or answered already.
    """
    with transaction.atomic():
        fresh = moves.begin(question, Verb.REOPENED, _("sort questions"), by=by)
        fresh.merged_into = None
        return _put(fresh, QuestionState.OPEN, Verb.REOPENED, by)


def _put(question: Question, state: QuestionState, verb: Verb, by: User) -> Question:
    question.state = state
    question.save(update_fields=["state", "merged_into"])
    moves.record(verb, question, by=by)
    return question
