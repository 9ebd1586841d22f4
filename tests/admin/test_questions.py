"""The desk's queue of questions: answered in place, sorted with one press, and closed to those it is not for."""

from __future__ import annotations

import pytest
from django.contrib.admin.models import LogEntry
from django.utils import timezone

from guides.lifecycle import draft as drafts
from guides.lifecycle.questions import merge, sort
from guides.models import Question
from tests.factories import published
from tests.factories.questions import ANSWER, WORDS, answered, asked

from .addresses import act, change

pytestmark = [pytest.mark.django_db, pytest.mark.data]

QUEUE = "/admin/guides/question/"


def test_open_ones_come_first_and_of_them_the_oldest(at_desk, printed, roaster):
    ago = [timezone.now() - timezone.timedelta(days=days) for days in (1, 4, 3, 9)]
    newest, oldest, middle, done = (asked(printed, at=at) for at in ago)
    sort.keep_private(done, by=roaster)
    listed = at_desk(roaster).get(QUEUE).context["cl"].result_list
    assert list(listed) == [oldest, middle, newest, done]
    assert list(at_desk(roaster).get(QUEUE + "?state__exact=private").context["cl"].result_list) == [done]


def test_a_question_is_answered_in_place_and_the_queue_goes_on(at_desk, printed, roaster, text_of):
    question = asked(printed, step=2)
    desk = at_desk(roaster)
    page = desk.get(change(question))
    assert WORDS in text_of(page)
    assert "0:45–1:00" in text_of(page)
    assert f'action="{act(question, "answer")}"' in page.content.decode()
    data = {"shown": WORDS, "answer": ANSWER, "language": "en"}
    response = desk.post(act(question, "answer"), data)
    assert (response.status_code, response.url) == (302, QUEUE)
    question.refresh_from_db()
    assert (question.state, question.answer) == ("answered", ANSWER)
    assert "Customers read the answer beside step 2." in text_of(desk.get(change(question)))


def test_an_answer_that_will_not_do_comes_back_with_its_words(at_desk, printed, roaster):
    response = at_desk(roaster).post(act(asked(printed), "answer"), {"shown": "Why so small?", "answer": ""})
    assert response.status_code == 409
    assert "Answer: write it first." in response.context["form"].errors["answer"]
    assert "Why so small?" in response.content.decode()


@pytest.mark.parametrize(("name", "state"), [("spam", "spam"), ("keep-private", "private")])
def test_putting_aside_is_one_press(at_desk, printed, roaster, name, state):
    question = asked(printed)
    desk = at_desk(roaster)
    assert f'method="post" action="{act(question, name)}"' in desk.get(change(question)).content.decode()
    assert desk.post(act(question, name)).url == QUEUE
    question.refresh_from_db()
    assert question.state == state
    assert desk.post(act(question, "reopen")).url == change(question)


def test_the_same_question_is_merged_and_both_are_found_from_each_other(at_desk, printed, roaster, text_of):
    main, other = asked(printed), asked(printed, text="Is it the gas?")
    elsewhere = asked(published())
    desk = at_desk(roaster)
    offered = desk.get(act(other, "merge")).context["form"].fields["into"].queryset
    assert (main in offered, elsewhere in offered, other in offered) == (True, False, False)
    assert "choose another question" in str(desk.post(act(other, "merge"), {}).context["form"].errors["into"])
    assert desk.post(act(other, "merge"), {"into": main.pk}).status_code == 302
    assert "1 other asked the same" in text_of(desk.get(change(main)))
    assert f"The same as question {main.pk}" in text_of(desk.get(change(other)))


def test_a_note_leads_to_the_draft_and_tells_of_too_many_words(at_desk, printed, roaster, text_of):
    question = answered(printed, step=2)
    desk = at_desk(roaster)
    assert ANSWER in text_of(desk.get(act(question, "note")))
    response = desk.post(act(question, "note"), {"why": "word " * 41})
    draft = printed.guide.versions.get(state="draft")
    assert response.url == change(draft)
    assert draft.steps.get(position=2).why == ("word " * 41).strip()
    assert "It is 41 words long. 40 at most read best" in text_of(desk.get(response.url))


def test_a_why_is_replaced_only_when_that_is_ticked(at_desk, printed, roaster):
    question = answered(printed, step=1)
    desk = at_desk(roaster)
    response = desk.post(act(question, "note"), {"why": ANSWER})
    assert "There is a why already: “Lets the gas out.”" in response.context["form"].errors["replace"][0]
    assert desk.post(act(question, "note"), {"why": ANSWER, "replace": "on"}).status_code == 302


def test_whoever_has_the_draft_open_is_told_of_the_note(at_desk, printed, roaster, filled):
    draft = drafts.open_next(printed.guide, by=roaster)
    writer, other = at_desk(roaster), at_desk()
    typed = filled(writer, change(draft)) | {"title": "Just typed"}
    other.post(act(answered(printed, step=2), "note"), {"why": ANSWER})
    response = writer.post(change(draft), typed)
    assert "was saved somewhere else after you opened it" in response.content.decode()


def test_the_page_says_when_a_revision_has_another_step_there(at_desk, printed, roaster, text_of):
    question = answered(printed, step=2)
    draft = drafts.open_next(printed.guide, by=roaster)
    draft.steps.filter(position=2).update(start_s=50, end_s=65)
    published(draft)
    assert "Revision 2 has another step there" in text_of(at_desk(roaster).get(change(question)))


def test_deleting_leads_back_to_the_queue_and_logs_no_word(at_desk, printed, roaster):
    question = asked(printed)
    desk = at_desk(roaster)
    assert "cannot be taken back" in desk.get(act(question, "delete")).content.decode()
    assert Question.objects.exists(), "looking at the page does nothing"
    assert desk.post(act(question, "delete")).url == QUEUE
    assert not Question.objects.exists()
    assert not LogEntry.objects.exists()
    assert desk.post(act(question, "delete")).status_code == 404


def test_history_shows_what_was_done_with_it(at_desk, printed, roaster, text_of):
    question = sort.keep_private(answered(printed), by=roaster)
    page = text_of(at_desk(roaster).get(change(question).replace("change", "history")))
    for words in ("answered a question", "kept a question private", roaster.display_name):
        assert words in page


_MAY = {"answer", "note", "merge", "keep-private", "spam", "reopen", "delete"}


@pytest.mark.parametrize("role", ["roaster", "publisher", "packer", "shop", "reader"])
def test_who_may_do_what(at_desk, printed, roaster, role, text_of):
    question, other = answered(printed), asked(printed, text="Is it the gas?")
    merge.merge(asked(printed), question, by=roaster)
    desk = at_desk(role=role)
    acts = {name for name in _MAY if {desk.get(act(q, name)).status_code for q in (question, other)} != {403}}
    assert acts == (_MAY if role in ("roaster", "publisher") else set())
    sees = desk.get(change(question))
    assert (sees.status_code == 200) is (role in ("roaster", "publisher", "reader"))
    if role == "reader":
        assert ANSWER in text_of(sees)
        assert "<form" not in sees.content.decode().split('id="content-main"')[1].split("</main>")[0]
    if role not in ("roaster", "publisher"):
        for name in _MAY:
            assert desk.post(act(other, name), {"answer": ANSWER, "shown": WORDS}).status_code == 403
        other.refresh_from_db()
        assert other.state == "open"


def test_nobody_writes_or_deletes_a_question_by_hand(at_desk, printed):
    question = asked(printed)
    desk = at_desk(role="publisher")
    assert desk.get(f"{QUEUE}add/").status_code == 403
    assert desk.post(change(question), {"text": "Nicer"}).status_code == 403
    assert desk.post(change(question).replace("change", "delete"), {"post": "yes"}).status_code == 403
