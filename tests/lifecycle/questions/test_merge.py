"""Merging: one answer for all who asked, and nobody who asked is forgotten."""

from __future__ import annotations

import pytest

from guides.lifecycle.questions.answer import answer
from guides.lifecycle.questions.merge import merge
from guides.lifecycle.questions.sort import mark_spam
from guides.models import GuideVersion, User
from guides.queries import answers
from tests.factories import published
from tests.factories.questions import ANSWER, WORDS, answered, asked
from tests.lifecycle.conftest import refused

pytestmark = [pytest.mark.django_db, pytest.mark.data]


def test_one_answer_serves_all_and_says_how_many_asked(printed: GuideVersion, roaster: User) -> None:
    first, second, third = (asked(printed, text=text) for text in (WORDS, "Is 48 g enough?", "Why only 48?"))
    merge(third, second, by=roaster)
    merge(second, first, by=roaster)
    answer(first, by=roaster, shown=WORDS, answer=ANSWER)
    (beside,) = answers.beside(printed)
    assert (beside.question, beside.askers) == (first, 3)
    third.refresh_from_db()
    assert (third.state, third.merged_into) == ("merged", first)


def test_what_does_not_go_together(printed: GuideVersion, roaster: User) -> None:
    question = asked(printed)
    with refused("another question than this one", "into"):
        merge(question, question, by=roaster)
    with refused("about the same guide", "into"):
        merge(question, asked(published()), by=roaster)
    with refused("open, answered or kept private", "into"):
        merge(question, mark_spam(asked(printed), by=roaster), by=roaster)
    main = answered(printed)
    merged = merge(question, main, by=roaster)
    with refused("open, answered or kept private", "into"):
        merge(asked(printed), merged, by=roaster)


def test_what_was_asked_about_an_earlier_revision_may_join(printed: GuideVersion, roaster: User) -> None:
    from tests.public.world import next_revision

    main = answered(next_revision(printed, kettle_c=95))
    merge(asked(printed), main, by=roaster)
    assert [beside.askers for beside in answers.beside(printed)] == [2]
