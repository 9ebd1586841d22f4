"""Addresses that lead nowhere: one answer for all, with help; and nothing unpublished behind any of them."""

from __future__ import annotations

import os
import random
import re

import pytest

from guides.codes import short_code
from guides.lifecycle.draft import open_next
from guides.models import Coffee
from tests.factories import GuideVersionFactory

from . import world

pytestmark = pytest.mark.django_db
GUESSES = 10_000 if os.environ.get("FULL_COUNTS") == "1" else 300


@pytest.fixture(autouse=True)
def _house():
    world.roastery()


def known_unknowns() -> list[str]:
    lot, code = world.bag()
    world.guide_for(lot)
    mistyped = code[:-1] + ("0" if code[-1] != "0" else "1")
    draft = GuideVersionFactory()
    return [
        "/L/" + short_code.new(),
        "/l/" + short_code.new().lower(),
        "/L/" + mistyped,
        "/L/ABC",
        "/L/" + "A" * 200,
        "/L/%F0%9F%98%80",
        "/L/" + short_code.new() + "/1.1.EN",
        "/en/guides/" + draft.guide.slug + "/",
        "/en/coffees/" + draft.guide.coffee.slug + "/",
        "/en/guides/nothing/",
        "/en/nowhere/",
        "/nowhere",
    ]


def test_every_unknown_address_gets_the_same_answer(client):
    answers = set()
    for address in known_unknowns():
        response = client.get(address, headers={"Accept-Language": "en"}, follow=True)
        assert response.status_code == 404, address
        headers = {name: value for name, value in response.headers.items() if name != "Content-Length"}
        answers.add((response.text, tuple(sorted(headers.items()))))
    assert len(answers) == 1


def test_the_answer_helps(client):
    text = client.get("/L/ABC", headers={"Accept-Language": "en"}).text
    assert "What a code looks like" in text
    assert 'action="/L/"' in text
    example = re.search(r'<p class="code"><bdi>([^<]+)', text)[1]
    assert not short_code.is_valid(example.replace(" ", ""))


@pytest.mark.parametrize("address", ["/en/guides/{guide}/", "/sv/guides/{guide}/", "/en/coffees/{coffee}/"])
def test_a_draft_is_nowhere(client, address):
    draft = GuideVersionFactory(title="Secret title", summary="Secret summary")
    filled = address.format(guide=draft.guide.slug, coffee=draft.guide.coffee.slug)
    assert client.get(filled).status_code == 404
    for page in ("/en/", "/sv/", "/fi/"):
        assert "Secret" not in client.get(page).text


def test_an_open_draft_of_a_published_guide_stays_out_of_sight(client):
    lot, code = world.bag()
    version = world.guide_for(lot)
    opened = open_next(version.guide, by=world.boss())
    opened.title, opened.change_note = "Secret title", "Secret note"
    opened.save()
    for address in (
        "/en/",
        f"/en/guides/{version.guide.slug}/",
        f"/L/{code}",
        f"/L/{code}/{version.guide.number}.2.EN",
    ):
        response = client.get(address)
        assert response.status_code == 200
        assert "Secret" not in response.text


def test_guessing_finds_nothing(client):
    """The guesses that are codes by their check character are the dangerous ones; all of these are."""
    secret = GuideVersionFactory(title="Secret title")
    _lot, code = world.bag(is_public=False, coffee=secret.guide.coffee)
    rng = random.Random(20260521)
    hits = 0
    for _guess in range(GUESSES):
        body = "".join(rng.choice(short_code.ALPHABET) for _ in range(7))
        guess = body + short_code.check_character(body)
        if guess != code and client.get(f"/L/{guess}").status_code != 404:
            hits += 1
    print(f"{GUESSES} guesses, {hits} hits")
    assert hits == 0


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("7K2M9QX", "A code has eight characters"),
        ("7K2M9QXU", "a character no code has"),
        ("7K2M9QX4", "One character is mistyped"),
        ("", "Type the code first"),
        ('"><script>alert(1)</script>', "A code has eight characters"),
    ],
)
def test_a_code_typed_wrong_is_told_what_is_wrong(client, typed, told):
    response = client.get("/L/", {"code": typed}, headers={"Accept-Language": "en"})
    assert response.status_code == 404
    assert told in response.text
    assert "<script" not in response.text


@pytest.mark.parametrize("write", ["{0}", " {0} ", "{1}", "{2}"])
def test_a_code_typed_right_leads_to_its_bag(client, write):
    _lot, code = world.bag()
    response = client.get("/L/", {"code": write.format(code, code.lower(), f"{code[:4]} {code[4:]}")})
    assert (response.status_code, response.headers["Location"]) == (302, f"/L/{code}")


def test_posting_is_refused(client):
    _lot, code = world.bag()
    for address in ("/en/", f"/L/{code}", "/"):
        assert client.post(address).status_code == 405


def test_a_coffee_that_is_retired_keeps_its_guides(client):
    version = world.coffee_with_guide()
    Coffee.objects.update(is_current=False)
    assert version.title in client.get(f"/en/guides/{version.guide.slug}/").text
    assert "no longer on sale" in client.get(f"/en/coffees/{version.guide.coffee.slug}/").text
    assert version.title not in client.get("/en/").text
