"""Putting questions aside and back: what is not answered is never shown."""

from __future__ import annotations

import pytest

from guides.choices import QuestionState, Verb
from guides.lifecycle.errors import Refused
from guides.lifecycle.questions import answer, merge, note, remove, sort
from guides.models import Event, GuideVersion, Question, User
from guides.queries import answers
from tests.factories.questions import ANSWER, WORDS, answered, asked
from tests.lifecycle.conftest import refused

pytestmark = [pytest.mark.django_db, pytest.mark.data]


def test_a_private_answer_is_kept_for_staff_and_can_come_back(printed: GuideVersion, roaster: User) -> None:
    question = sort.keep_private(answered(printed), by=roaster)
    assert (question.state, question.answer) == ("private", ANSWER)
    assert answers.beside(printed) == []
    answer.answer(question, by=roaster, shown=WORDS, answer=ANSWER)
    assert len(answers.beside(printed)) == 1


def test_spam_leaves_the_queue_and_may_be_reopened(printed: GuideVersion, roaster: User) -> None:
    question = sort.mark_spam(asked(printed), by=roaster)
    assert not answers.waiting().exists()
    assert sort.reopen(question, by=roaster).state == "open"
    assert list(Event.objects.filter(details__question=question.pk).order_by("pk").values_list("verb", flat=True)) == [
        "marked_spam",
        "reopened",
    ]


def test_what_others_were_merged_into_is_no_spam(printed: GuideVersion, roaster: User) -> None:
    main = asked(printed)
    merge.merge(asked(printed), main, by=roaster)
    with refused("reopen them first", "state"):
        sort.mark_spam(main, by=roaster)


# Written out here, not read from the product: which act leads from where.
_ACTS = {
    "answer": {"open", "answered", "private"},
    "keep_private": {"open", "answered"},
    "mark_spam": {"open", "private"},
    "reopen": {"private", "spam", "merged"},
    "merge": {"open", "answered", "private"},
    "note": {"answered"},
    "remove": set(QuestionState.values),
}


@pytest.mark.parametrize("state", QuestionState.values)
@pytest.mark.parametrize("name", _ACTS)
def test_every_act_from_every_state(printed: GuideVersion, roaster: User, state: str, name: str) -> None:
    question, other = asked(printed), asked(printed, text="Is it the gas?")
    {
        "open": lambda: None,
        "answered": lambda: answer.answer(question, by=roaster, shown=WORDS, answer=ANSWER),
        "private": lambda: sort.keep_private(question, by=roaster),
        "spam": lambda: sort.mark_spam(question, by=roaster),
        "merged": lambda: merge.merge(question, other, by=roaster),
    }[state]()
    acts = {
        "answer": lambda: answer.answer(question, by=roaster, shown=WORDS, answer=ANSWER),
        "keep_private": lambda: sort.keep_private(question, by=roaster),
        "mark_spam": lambda: sort.mark_spam(question, by=roaster),
        "reopen": lambda: sort.reopen(question, by=roaster),
        "merge": lambda: merge.merge(question, other, by=roaster),
        "note": lambda: note.into_why(question, by=roaster, why=ANSWER, replace=True),
        "remove": lambda: remove.remove(question, by=roaster),
    }
    before = list(Question.objects.order_by("pk").values())
    try:
        acts[name]()
        happened = True
    except Refused:
        happened = False
        assert list(Question.objects.order_by("pk").values()) == before
    assert happened == (state in _ACTS[name])


def test_each_act_says_who_may(printed: GuideVersion, reader: User) -> None:
    question = answered(printed)
    for act in (
        lambda: sort.keep_private(question, by=reader),
        lambda: sort.mark_spam(question, by=reader),
        lambda: sort.reopen(question, by=reader),
        lambda: merge.merge(question, asked(printed), by=reader),
        lambda: note.into_why(question, by=reader, why=ANSWER),
        lambda: remove.remove(question, by=reader),
    ):
        with refused("may not"):
            act()
    assert not Event.objects.filter(verb__in=[Verb.KEPT_PRIVATE, Verb.DELETED, Verb.MERGED]).exists()
