"""Takes a customer's question. Nobody but staff sees it before it is answered."""

from __future__ import annotations

import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.choices import FROZEN_STATES
from guides.lifecycle import form_token
from guides.lifecycle.errors import Refusal, refuse_if
from guides.lifecycle.form_token import FormToken
from guides.models import GuideVersion, Lot, Question
from guides.models.question import LONGEST
from guides.queries.answers import numbers_of

from . import words


def ask(
    version: GuideVersion,
    *,
    text: str,
    language: str,
    step: int | None = None,
    lot: Lot | None = None,
    token: FormToken | None = None,
    at: datetime.datetime | None = None,
) -> Question:
    """Keep a question.

    Args:
        version: the published version it is about.
        text: as typed, up to 500 characters.
        language: of the page it was asked on.
        step: place of the step it was asked at, from 1; none for the guide as a whole.
        lot: whose bag's code was scanned, if one was.
        token: of the form it came by; used up together with keeping the question.
        at: when; now if not given.

    Raises:
        Refused: no words, too many, or not about something customers can read.
        TokenRefused: the form was sent before.
    """
    text = words.tidy(text)
    steps = list(version.steps.all())
    refusals = words.refusals(text, "text", LONGEST, _("Write your question first."))
    if version.state not in FROZEN_STATES:
        refusals.append(Refusal(_("This guide is not published."), field="version"))
    if step is not None and not 1 <= step <= len(steps):
        refusals.append(Refusal(_("This guide has no such step."), field="step"))
    refuse_if(refusals)
    with transaction.atomic():
        if token is not None:
            form_token.spend(token)
        return Question.objects.create(
            version=version,
            step=step,
            step_numbers=numbers_of(steps[step - 1]) if step else "",
            lot=lot,
            language=language,
            text=text,
            asked_at=at or timezone.now(),
        )
