"""A question arrives: its words are kept as typed, once, and nothing else of whoever asked."""

from __future__ import annotations

import pytest

from guides.lifecycle import form_token
from guides.lifecycle.form_token import FormToken, TokenRefused
from guides.lifecycle.questions.ask import ask
from guides.models import Event, GuideVersion, Question
from tests.factories import LotFactory
from tests.factories.questions import WORDS, asked
from tests.lifecycle.conftest import refused

pytestmark = [pytest.mark.django_db, pytest.mark.data]


def test_it_is_open_and_knows_where_it_was_asked(printed: GuideVersion) -> None:
    lot = LotFactory(coffee=printed.guide.coffee)
    question = asked(printed, step=2, lot=lot, language="sv")
    question.refresh_from_db()
    assert (question.state, question.step, question.lot, question.language) == ("open", 2, lot, "sv")
    assert (question.text, question.shown, question.answer) == (WORDS, "", "")
    assert not Event.objects.filter(details__question=question.pk).exists()


def test_of_the_guide_as_a_whole(printed: GuideVersion) -> None:
    assert asked(printed, step=None).step_numbers == ""


def test_line_ends_and_control_signs_are_tidied_and_words_are_not(printed: GuideVersion) -> None:
    question = asked(printed, text="  Why?\r\n\r\nIt drips.\x00\x07\ud800 <b>Now</b> ☕\r")
    assert question.text == "Why?\n\nIt drips. <b>Now</b> ☕"


@pytest.mark.parametrize("text", ["", " \n\t ", "???", "\x00", "☕☕"])
def test_without_words_it_is_no_question(printed: GuideVersion, text: str) -> None:
    with refused("Write your question first", "text"):
        asked(printed, text=text)


def test_five_hundred_characters_are_the_most(printed: GuideVersion) -> None:
    assert asked(printed, text="å" * 500)
    with refused("It is 503 characters long; 500 is the most. Leave out 3.", "text"):
        asked(printed, text="å" * 503)


@pytest.mark.parametrize("step", [0, 6, -1, 10**6])
def test_a_step_the_guide_does_not_have(printed: GuideVersion, step: int) -> None:
    with refused("no such step", "step"):
        asked(printed, step=step)


def test_about_a_draft_nobody_can_ask(draft: GuideVersion) -> None:
    with refused("not published", "version"):
        asked(draft)


def test_the_form_it_came_by_is_used_up_with_it(printed: GuideVersion) -> None:
    token = FormToken("once")
    asked(printed, token=token)
    with pytest.raises(TokenRefused):
        asked(printed, token=token)
    assert Question.objects.count() == 1


def test_a_question_that_is_refused_uses_nothing_up(printed: GuideVersion) -> None:
    token = FormToken("once")
    with refused("Write your question first", "text"):
        ask(printed, text="", language="en", token=token)
    form_token.spend(token)
