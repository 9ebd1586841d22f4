"""An answer: complete, in a language of the site, and written down without a customer's word."""

from __future__ import annotations

import pytest

from guides.lifecycle.questions.answer import answer
from guides.lifecycle.questions.sort import mark_spam
from guides.models import Event, GuideVersion, User
from guides.queries import answers
from tests.factories.questions import ANSWER, WORDS, answered, asked
from tests.lifecycle.conftest import refused

pytestmark = [pytest.mark.django_db, pytest.mark.data]


def test_it_says_who_and_when_and_is_shown(printed: GuideVersion, roaster: User) -> None:
    question = answer(asked(printed), by=roaster, shown="Why so little?", answer=f" {ANSWER}\r\n")
    question.refresh_from_db()
    assert (question.state, question.answered_by, question.answer) == ("answered", roaster, ANSWER)
    assert question.answered_at is not None
    (beside,) = answers.beside(printed)
    assert (beside.question, beside.place, beside.askers) == (question, 1, 1)


def test_the_trail_names_the_question_by_its_number_alone(printed: GuideVersion, roaster: User) -> None:
    question = answered(printed)
    event = Event.objects.get(verb="answered")
    assert event.details["question"] == question.pk
    assert (event.version_id, event.guide) == (printed.pk, printed.guide)
    told = f"{event.reason} {event.details} {question}"
    assert not any(word in told for word in [*WORDS.split(), *ANSWER.split()] if len(word) > 3)


def test_it_may_be_answered_anew_and_in_another_language(printed: GuideVersion, roaster: User) -> None:
    question = answer(answered(printed), by=roaster, shown="Miksi?", answer="Kaasu pääsee pois.", language="fi")
    assert (question.answer, question.answer_language, question.language) == ("Kaasu pääsee pois.", "fi", "en")


@pytest.mark.parametrize(
    ("words", "field", "says"),
    [
        ({"answer": ""}, "answer", "Answer: write it first"),
        ({"answer": "a" * 601}, "answer", "601 characters long; 600 is the most"),
        ({"shown": "…"}, "shown", "Question as customers read it"),
        ({"shown": "a" * 501}, "shown", "500 is the most"),
        ({"language": "xx"}, "language", "choose one of the site's languages"),
    ],
)
def test_what_will_not_do(printed: GuideVersion, roaster: User, words: dict[str, str], field: str, says: str) -> None:
    question = asked(printed)
    with refused(says, field):
        answer(question, by=roaster, **{"shown": WORDS, "answer": ANSWER, **words})
    question.refresh_from_db()
    assert question.state == "open"


def test_spam_is_not_answered(printed: GuideVersion, roaster: User) -> None:
    question = mark_spam(asked(printed), by=roaster)
    with refused("It is spam now", "state"):
        answer(question, by=roaster, shown=WORDS, answer=ANSWER)


@pytest.mark.parametrize("role", ["packer", "shop", "reader"])
def test_who_may_not(printed: GuideVersion, role: str, request: pytest.FixtureRequest) -> None:
    with refused("may not answer questions"):
        answer(asked(printed), by=request.getfixturevalue(role), shown=WORDS, answer=ANSWER)
