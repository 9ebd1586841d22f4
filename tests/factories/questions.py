"""Customers' questions, kept as the form keeps them."""

from __future__ import annotations

from typing import Any

from guides.lifecycle.questions import answer, ask
from guides.models import GuideVersion, Question

from .people import UserFactory

WORDS = "Why is the first pour so small?"
ANSWER = "It lets the gas out first, so that the next pour reaches every ground. You'd notice the bed rise."


def asked(version: GuideVersion, *, step: int | None = 1, text: str = WORDS, **more: Any) -> Question:
    return ask.ask(version, text=text, step=step, **{"language": "en", **more})


def answered(version: GuideVersion, *, step: int | None = 1, text: str = WORDS, answer_: str = ANSWER) -> Question:
    question = asked(version, step=step, text=text)
    return answer.answer(question, by=UserFactory(role="roaster"), shown=text, answer=answer_)
