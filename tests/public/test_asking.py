"""Asking from a step: anybody may, robots may not, no word is lost, and none is shown before it is answered."""

from __future__ import annotations

import gzip
import html
import os
import re
from collections.abc import Iterator

import pytest
import time_machine
from django.db import connection
from django.test import Client

from guides.lifecycle import form_token, rate_limit
from guides.lifecycle.questions import answer
from guides.lifecycle.withdraw import withdraw
from guides.models import Question
from guides.presenters.asked import FEW
from guides.public import guards
from tests.factories.questions import ANSWER, WORDS, answered, asked

from . import world

pytestmark = [pytest.mark.django_db, pytest.mark.data]

HERE = {"Origin": "http://testserver"}
BOTS, PEOPLE = (500, 50) if os.environ.get("FULL_COUNTS") == "1" else (96, 50)


@pytest.fixture(autouse=True)
def clock(settings) -> Iterator[time_machine.Traveller]:
    settings.ALLOWED_HOSTS = ["testserver"]
    world.roastery()
    with time_machine.travel("2026-05-04T12:00:00Z", tick=False) as traveller:
        yield traveller


@pytest.fixture
def guide():
    lot, _code = world.bag()
    return world.guide_for(lot)


def address(version, step: int = 2, language: str = "en") -> str:
    return f"/{language}/ask/{version.guide.number}.{version.revision}/{step}/"


def token_of(response) -> str:
    return re.search(r'name="token" value="([^"]*)"', response.text)[1]


@pytest.fixture
def send(clock):
    """``send(client, where, text)`` opens the form, takes a person's time and sends it."""

    def act(client: Client, where: str, text: str = WORDS, *, token: str | None = None, **more):
        made = token or token_of(client.get(where))
        clock.shift(0 if token else 20)
        return client.post(where, {"question": text, "token": made, "homepage": ""}, headers=HERE, **more)

    return act


def test_a_question_arrives_and_the_page_says_what_happens_now(client, guide, send):
    code = guide.guide.coffee.lots.get().addresses.get().code
    form = client.get(f"{address(guide)}?bag={code}")
    assert "Ask about step 2" in form.text
    assert "0:45" in form.text
    sent = send(client, f"{address(guide)}?bag={code}")
    assert sent.status_code == 303
    question = Question.objects.get()
    assert (question.text, question.step, question.state, question.language) == (WORDS, 2, "open", "en")
    assert question.lot.addresses.get().code == code
    now = client.get(sent.url)
    assert "Your question has arrived" in now.text
    assert f'href="/L/{code}/{guide.guide.number}.1.EN#step-2"' in now.text
    assert client.get(f"/L/{code}/{guide.guide.number}.1.EN").status_code == 200


def test_nothing_on_the_way_is_kept_or_marked(client, guide, send):
    for response in (client.get(address(guide)), send(client, address(guide)), client.get(address(guide) + "sent/")):
        assert response.headers["Cache-Control"] == "no-store"
        assert "Set-Cookie" not in response.headers
        assert "Cookie" not in response.headers.get("Vary", "")
        assert WORDS not in response.headers.get("Location", "")
    assert not client.cookies


@pytest.mark.parametrize("language", ["en", "sv", "fi"])
def test_in_every_language_with_a_way_to_the_others(client, guide, language, send):
    form = client.get(address(guide, language=language))
    assert f'<html lang="{language}"' in form.text
    assert f'href="{address(guide, language="sv")}"' in form.text
    assert f'href="{address(guide, language="fi")}?bag=ABC"' in client.get(address(guide), {"bag": "ABC"}).text
    send(client, address(guide, language=language))
    assert Question.objects.get().language == language


def test_of_the_whole_guide(client, guide, send):
    assert "Ask about this guide" in client.get(address(guide, 0)).text
    send(client, address(guide, 0))
    assert Question.objects.get().step is None


@pytest.mark.parametrize("tail", ["9.1/2/", "{n}.2/2/", "{n}.1/6/", "{n}.1/99/", "{n}.1/-1/", "{n}.1/x/", "99999.1/2/"])
def test_what_is_not_published_cannot_be_asked_about(client, guide, tail):
    where = "/en/ask/" + tail.format(n=guide.guide.number + (100 if tail.startswith("9.") else 0))
    assert client.get(where).status_code == 404
    assert client.post(where, {"question": WORDS}).status_code == 404


def test_somebody_elses_bag_is_left_out(client, guide, send):
    _lot, other = world.bag()
    for bag in (other, "NOTACODE", '"><script>'):
        assert "<script" not in client.get(address(guide), {"bag": bag}).text
        send(client, f"{address(guide)}?bag={other}")
    assert not Question.objects.filter(lot__isnull=False).exists()


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "Write your question first."),
        ("w" * 512, "It is 512 characters long; 500 is the most. Leave out 12."),
        ("?!", "Write your question first."),
    ],
)
def test_what_will_not_do_is_said_and_kept(client, guide, text, says, send):
    response = send(client, address(guide), text)
    assert response.status_code == 422
    assert says in response.text
    assert f">{text}</textarea>" in response.text
    again = client.post(address(guide), {"question": WORDS, "token": token_of(response)}, headers=HERE)
    assert again.status_code == 303, "the same form, mended, goes through"


def test_each_guard_keeps_what_was_typed_and_a_person_gets_through(client, guide, clock, send):
    hurried = client.post(
        address(guide), {"question": WORDS, "token": token_of(client.get(address(guide)))}, headers=HERE
    )
    old = token_of(client.get(address(guide)))
    clock.shift(86_400)
    late = client.post(address(guide), {"question": WORDS, "token": old}, headers=HERE)
    foreign = send(client, address(guide), token=old)
    for response, words in (
        (hurried, "faster than people type"),
        (late, "a long time ago"),
        (foreign, "a long time ago"),
    ):
        assert response.status_code == 400
        assert words in response.text
        assert f">{WORDS}</textarea>" in response.text
        assert "Not sent yet" in response.text
    clock.shift(5)
    assert send(client, address(guide), token=token_of(late)).status_code == 303


def test_sent_twice_it_is_kept_once_and_the_second_is_told(client, guide, clock, send):
    token = token_of(client.get(address(guide)))
    clock.shift(20)
    assert send(client, address(guide), token=token).status_code == 303
    again = send(client, address(guide), "And why so slowly?", token=token)
    assert again.status_code == 409
    assert "has arrived already" in again.text
    assert "And why so slowly?" in again.text
    assert Question.objects.count() == 1


def test_too_often_says_when_and_keeps_the_words(client, guide, send):
    answers = [send(client, address(guide), "Why?", token="forged") for _time in range(30)]
    assert {response.status_code for response in answers} == {400}
    refused = send(client, address(guide), token="forged")
    assert refused.status_code == 429
    assert 1 <= int(refused.headers["Retry-After"]) <= 60
    assert f">{WORDS}</textarea>" in refused.text


def robots(client: Client, version, clock: time_machine.Traveller, send) -> int:
    """Let robots of every kind post, from an address each, and give how many questions are kept."""
    where = address(version)
    spent = token_of(client.get(where))
    clock.shift(20)
    send(client, where, token=spent)
    Question.objects.all().delete()
    other = token_of(client.get(address(version, 1)))
    for number in range(BOTS):
        fresh = form_token.issue(f"question {version.guide.number}.{version.revision}/2")
        kinds = [
            ({"token": fresh}, 0, HERE),  # fills the form in a moment
            ({"token": fresh, "homepage": "http://buy.example"}, 20, HERE),  # fills every field
            ({"token": spent}, 20, HERE),  # sends a form again and again
            ({"token": other}, 20, HERE),  # takes one form's token to another
            ({}, 20, HERE),  # never opened the form
            ({"token": fresh}, 20, {"Origin": "http://evil.test"}),  # runs in a visitor's browser on another site
            ({"token": fresh}, 20, {}),  # is no browser
            ({"token": fresh}, 90_000, HERE),  # harvested forms yesterday
        ]
        fields, waits, headers = kinds[number % len(kinds)]
        clock.shift(waits)
        text = {"question": f"Cheap watches {number}"}
        client.post(where, text | fields, headers=headers, REMOTE_ADDR=f"203.0.{number // 250}.{number % 250}")
    return Question.objects.count()


def test_five_hundred_robots_leave_nothing_and_fifty_people_are_heard(client, guide, clock, monkeypatch, send):
    stored = robots(client, guide, clock, send)
    for number in range(PEOPLE):
        who = {"REMOTE_ADDR": f"198.51.100.{number}"}
        assert send(client, address(guide, number % 5 + 1), f"Why {number}?", **who).status_code == 303
    heard = Question.objects.count()
    Question.objects.all().delete()
    monkeypatch.setattr(guards, "_from_our_page", lambda _request: True)
    monkeypatch.setattr(guards, "TRAP_FIELD", "nothing")
    monkeypatch.setattr(form_token, "LEAST_S", -1)
    monkeypatch.setattr(form_token, "MOST_S", 10**9)
    monkeypatch.setattr(form_token, "spend", lambda _token: None)
    monkeypatch.setattr(rate_limit, "count", lambda *_anything: None)
    off = robots(client, guide, clock, send)
    print(
        f"{connection.vendor}: {stored} of {BOTS} robots' posts kept, {heard} of {PEOPLE} people's; guards off: {off}"
    )
    assert (stored, heard) == (0, PEOPLE)
    assert off > BOTS / 2, "the negative control"


# What is shown


def page_of(client: Client, version, language: str = "en") -> str:
    return html.unescape(client.get(f"/{language}/guides/{version.guide.slug}/").text)


def test_nothing_is_shown_before_it_is_answered(client, guide):
    question = asked(guide, text="Is ZANZIBAR in it?")
    assert "ZANZIBAR" not in page_of(client, guide)
    assert "ZANZIBAR" not in client.get(address(guide, 1)).text
    answer.answer(question, by=world.boss(), shown="What is in it?", answer=ANSWER)
    text = page_of(client, guide)
    assert "What is in it?" in text
    assert ANSWER in text
    assert "ZANZIBAR" not in text, "customers read what staff let through"


def test_an_answer_stands_under_its_step_and_on_the_bag_s_page(client, guide):
    answered(guide, step=2)
    code = guide.guide.coffee.lots.get().addresses.get().code
    for where in (f"/en/guides/{guide.guide.slug}/", f"/L/{code}"):
        row = client.get(where).text.split('id="step-2"')[1].split("</tr>")[0]
        assert "1 question answered" in row
        assert html.escape(ANSWER) in row
    assert f"/ask/{guide.guide.number}.1/2/?bag={code}" in client.get(f"/L/{code}").text


def test_it_stays_while_the_step_is_the_same_and_goes_when_it_is_another(client, guide):
    answered(guide, step=2)
    same = world.next_revision(guide, kettle_c=95)
    text = page_of(client, same)
    assert ANSWER in text
    assert "Asked about revision 1." in text
    changed = world.draft.open_next(guide.guide, by=world.boss())
    changed.steps.filter(position=2).update(start_s=50, end_s=65)
    world.published(changed)
    assert ANSWER not in page_of(client, changed)
    assert ANSWER in html.unescape(client.get(address(same)).text), "but not from the revisions that have it"


def test_another_language_is_marked(client, guide):
    answered(guide, step=2)
    row = page_of(client, guide, "sv")
    assert "Besvarad på engelska, inte översatt." in row
    assert f'<p lang="en">{ANSWER}' in row


def test_many_answers_are_a_few_on_the_page_and_all_where_one_asks(client, guide):
    for number in range(FEW + 4):
        answered(guide, step=2, answer_=f"Answer number {number}.")
    text = page_of(client, guide)
    assert text.count("Answer number") == FEW
    assert "All answers are on the page behind this link" in text
    assert client.get(address(guide)).text.count("Answer number") == FEW + 4


def test_a_withdrawn_guide_asks_for_no_questions(client, guide):
    withdraw(guide, by=world.boss(), reason="Too hot.")
    assert "/ask/" not in page_of(client, guide)


def test_answers_cost_one_query_and_the_page_still_fits_the_first_flight(client, guide, django_assert_max_num_queries):
    for step in range(1, 6):
        for number in range(6):
            answered(guide, step=step, text=f"{WORDS} {number}", answer_=f"{ANSWER} {step} {number}")
    code = guide.guide.coffee.lots.get().addresses.get().code
    with django_assert_max_num_queries(7):
        response = client.get(f"/L/{code}")
    size = len(gzip.compress(response.content, 6))
    print(f"{size} bytes with 30 answers")
    assert size <= 14 * 1024
