"""Answers a question: from now on customers read it beside its step."""

from __future__ import annotations

import datetime

from django.conf import settings
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.choices import QuestionState, Verb
from guides.lifecycle.errors import Refusal, refuse_if
from guides.models import Question, User
from guides.models.question import LONGEST, LONGEST_ANSWER

from . import moves, words


def answer(
    question: Question, *, by: User, shown: str, answer: str, language: str = "", at: datetime.datetime | None = None
) -> Question:
    """Answer a question, or put another answer in place of the one it has.

    Args:
        question: open, kept private or answered.
        by: who answers.
        shown: the question as customers read it; its asker's words, or shorter.
        answer: up to 600 characters.
        language: of both; the one it was asked in if not given.
        at: when; now if not given.

    Raises:
        Refused: not allowed, a text that will not do, or a question that stands elsewhere.
    """
    shown, answer = words.tidy(shown), words.tidy(answer)
    with transaction.atomic():
        fresh = moves.begin(question, Verb.ANSWERED, _("answer questions"), by=by)
        language = language or fresh.language
        refusals = [
            *words.refusals(
                shown, "shown", LONGEST, _("Question as customers read it: write it, or keep their words.")
            ),
            *words.refusals(answer, "answer", LONGEST_ANSWER, _("Answer: write it first.")),
        ]
        if language not in dict(settings.LANGUAGES):
            refusals.append(Refusal(_("Answered in: choose one of the site's languages."), field="language"))
        refuse_if(refusals)
        fresh.state, fresh.shown, fresh.answer, fresh.answer_language = QuestionState.ANSWERED, shown, answer, language
        fresh.answered_at, fresh.answered_by = at or timezone.now(), by
        fresh.save()
        moves.record(Verb.ANSWERED, fresh, by=by)
    return fresh
