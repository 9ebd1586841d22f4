"""Pages without a bag, and what holds for every public answer."""

from __future__ import annotations

import base64
import gzip
import hashlib
import re

import pytest

from guides.calculations.catalogue import catalogue
from guides.lifecycle import recall, withdraw
from guides.models import Address, Guide, VersionText
from guides.public import errors, page, views
from tests.factories import GrinderFactory, GuideVersionFactory

from . import world

pytestmark = pytest.mark.django_db
FIRST_FLIGHT = 14 * 1024


@pytest.fixture(autouse=True)
def house():
    return world.roastery()


@pytest.fixture
def every_page():
    """Addresses of every kind of public answer, in a site with a bit of everything."""
    GrinderFactory()
    lot, code = world.bag()
    version = world.guide_for(lot, in_depth="A *deep* text.", why="Because.")
    world.guide_for(lot, title="Second")
    world.next_revision(version, change_note="Coarser.")
    _held, holding = world.bag()
    called_back, recalled = world.bag()
    recall.recall(called_back, by=world.boss(), reason="A screw is missing.")
    gone = world.coffee_with_guide(title="Gone")
    withdraw.withdraw(gone, by=world.boss(), reason="Too hot.")
    return [
        "/",
        "/en/",
        "/sv/",
        "/fi/",
        "/en/numbers/",
        "/en/numbers/constants/",
        f"/en/coffees/{lot.coffee.slug}/",
        f"/en/guides/{version.guide.slug}/",
        f"/fi/guides/{version.guide.slug}/",
        f"/en/guides/{gone.guide.slug}/",
        f"/L/{code}",
        f"/L/{code}/{version.guide.number}.1.SV",
        f"/L/{holding}",
        f"/L/{recalled}",
        "/L/",
        "/L/NOTACODE",
        "/en/nowhere/",
    ]


def test_no_public_answer_sets_a_cookie(client, every_page):
    for address in every_page:
        response = client.get(address)
        assert "Set-Cookie" not in response.headers, address
        assert not client.cookies, address
        assert "Cookie" not in response.headers.get("Vary", ""), address


def test_every_page_fits_the_first_flight(client, every_page):
    sizes = {}
    for address in every_page:
        response = client.get(address)
        sizes[address] = len(gzip.compress(response.content, 6))
    for address, size in sizes.items():
        print(f"{size:6d} bytes  {address}")
    assert max(sizes.values()) <= FIRST_FLIGHT


def test_pages_ask_nobody_else_and_hold_no_script_of_their_own(client, every_page):
    for address in every_page:
        text = client.get(address).text
        # What machines read is not fetched: names of this page, and what it means.
        fetched = re.sub(r'<link rel="(?:canonical|alternate)"[^>]*>', "", text)
        for link in re.findall(r'(?:src|href|action)="([^"]*)"', fetched):
            assert re.match(r"/(?!/)|[#?]", link), link
        allowed = re.sub(r'<script (?:type="application/ld\+json">|type="module" src="/static/)', "", text)
        assert "<script" not in allowed
        assert " style=" not in text
        assert not re.search(r"\son[a-z]+=", text)


def test_the_policy_accepts_the_one_style_element_by_its_hash(client, every_page):
    for address in every_page:
        response = client.get(address)
        styles = re.findall(r"<style>(.*?)</style>", response.text, re.DOTALL)
        for text in styles:
            digest = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
            assert f"'sha256-{digest}'" in response.headers["Content-Security-Policy"], address
        assert "unsafe" not in response.headers["Content-Security-Policy"]


def test_pages_answer_304_to_whoever_has_them(client, every_page):
    for address in every_page:
        response = client.get(address)
        if response.status_code != 200:
            continue
        again = client.get(address, headers={"If-None-Match": response.headers["ETag"]})
        assert again.status_code == 304, address
        assert again.headers["Content-Security-Policy"] == response.headers["Content-Security-Policy"]


def test_the_page_in_another_language_is_another_answer_and_not_a_varying_one(client):
    version = world.coffee_with_guide()
    response = client.get(f"/en/guides/{version.guide.slug}/", headers={"Accept-Language": "fi"})
    assert response.headers["Content-Language"] == "en"
    assert "Accept-Language" not in response.headers.get("Vary", "")


@pytest.mark.parametrize(("accept", "lands"), [("sv", "/sv/"), ("de, fi;q=0.4", "/fi/"), ("de", "/en/"), ("", "/en/")])
def test_the_front_door_sends_readers_to_their_language(client, accept, lands):
    response = client.get("/", headers={"Accept-Language": accept})
    assert (response.status_code, response.headers["Location"]) == (302, lands)
    assert "Accept-Language" in response.headers["Vary"]


def test_a_language_not_offered_has_no_pages(client, house):
    house.languages = ["en"]
    house.save()
    assert client.get("/fi/").status_code == 404
    assert client.get("/en/").status_code == 200
    assert client.get("/", headers={"Accept-Language": "fi"}).headers["Location"] == "/en/"


def test_home_lists_the_coffees_on_sale_with_their_newest_guides(client):
    version = world.coffee_with_guide(title="First words")
    world.next_revision(version, title="Newer words")
    text = client.get("/en/").text
    assert version.guide.coffee.name in text
    assert "Newer words" in text
    assert "First words" not in text


def test_titles_are_shown_in_the_language_of_the_page(client):
    draft = GuideVersionFactory(title="Outer Mark in the Mast cone")
    VersionText.objects.create(version=draft, language="sv", title="Yttermärket i Mastkonen")
    version = world.published(draft)
    for address in ("/sv/", f"/sv/coffees/{version.guide.coffee.slug}/", f"/sv/guides/{version.guide.slug}/"):
        assert "Yttermärket i Mastkonen" in client.get(address).text
    untranslated = client.get(f"/fi/guides/{version.guide.slug}/").text
    assert '<h1 lang="en">Outer Mark in the Mast cone</h1>' in untranslated


def test_a_guide_says_everything_a_brewer_needs(client):
    GrinderFactory(name="Harrow")
    version = world.coffee_with_guide(
        in_depth="Pulses keep it *hot*.", why="Each refill reheats the bed.", grind_um=690
    )
    text = client.get(f"/en/guides/{version.guide.slug}/").text
    for part in ("In short", "Before the clock", "Step by step", "The plan", "What you get", "Safety", "Local codes"):
        assert part in text
    assert "<em>hot</em>" in text
    assert "Each refill reheats the bed." in text
    assert "<svg" in text
    assert "Harrow" in text
    assert "dial 5" in text
    assert 'href="/en/numbers/"' in text


def test_text_fields_cannot_bring_markup(client):
    hostile = "<b onclick=alert(1)>x</b>"
    version = world.coffee_with_guide(title=hostile[:80], summary=hostile, in_depth=hostile, why=hostile)
    Guide.objects.filter(pk=version.guide_id).update(slug="hostile")
    text = client.get("/en/guides/hostile/").text
    assert "<b onclick" not in text
    assert "&lt;b onclick" in text


def test_the_numbers_page_shows_every_check_with_how_far_off_it_is(client):
    text = client.get("/en/numbers/").text
    checks = [check for formula in catalogue() for check in formula.checks]
    assert f"{len(checks)} of {len(checks)} checks" in text
    assert "too far" not in text


def test_every_source_a_formula_names_is_on_the_page_of_sources(client):
    named = set(re.findall(r'href="/en/numbers/constants/#([^"]+)"', client.get("/en/numbers/").text))
    text = client.get("/en/numbers/constants/").text
    assert named
    assert named <= set(re.findall(r'id="([^"]+)"', text))
    assert "Liang" in text


def test_nothing_is_there_before_the_roastery_is_written_down(client, house):
    house.delete()
    assert client.get("/en/").status_code == 200
    assert client.get("/sv/").status_code == 404
    assert not Address.objects.exists()


def test_our_own_mistake_is_told_even_without_static_files(client, monkeypatch):
    def fail(*_args: object) -> None:
        raise ValueError("Missing staticfiles manifest entry")

    monkeypatch.setattr(errors, "style", fail)
    monkeypatch.setattr(page, "style", fail)
    client.raise_request_exception = False
    response = client.get("/en/")
    assert response.status_code == 500
    assert "Something broke on our side" in response.text


def test_our_own_mistake_is_told_without_the_database(client, monkeypatch):
    def fail(*_args: object) -> None:
        raise RuntimeError

    monkeypatch.setattr(views.catalogue, "on_sale", fail)
    client.raise_request_exception = False
    response = client.get("/en/")
    assert response.status_code == 500
    assert "Something broke on our side" in response.text
    assert response.headers["Cache-Control"] == "no-store"
