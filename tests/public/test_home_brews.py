"""A brew is sent only by who chooses to, once, from our page, with nothing that says who."""

from __future__ import annotations

import time
from unittest.mock import patch

import pytest
from django.utils import timezone

from guides.lifecycle import form_token
from guides.models import HomeBrew
from guides.presenters import adapt_request, adapted_sheet
from tests.browser import Tab
from tests.factories import GrinderFactory

from . import world

pytestmark = pytest.mark.django_db(transaction=True)
OUR = {"Origin": "http://testserver"}


@pytest.fixture
def address() -> str:
    world.roastery()
    lot, code = world.bag()
    version = world.guide_for(lot)
    return f"/L/{code}/{version.guide.number}.1.EN/brew/send?dose=20"


def token(client, address: str) -> str:
    """A token as a person sends it back, some seconds after it was given."""
    now = time.time()
    with patch.object(form_token.time, "time", lambda: now - 10):
        html = client.get(address).content.decode()
    return html.split('name="token" value="')[1].split('"')[0]


def post(client, address, headers=OUR, **fields):
    return client.post(address, {"text": "0:12 Pour", "drained": "185", **fields}, headers=headers)


@pytest.mark.data
def test_it_arrives_with_the_plan_it_was_brewed_by(client, address):
    answer = post(client, address, token=token(client, address))
    assert answer.status_code == 200
    assert "It has arrived" in answer.content.decode()
    brew = HomeBrew.objects.get()
    assert (brew.dose_g, brew.drained_s, brew.text, brew.language) == (20, 185, "0:12 Pour", "en")
    assert brew.lot is not None


@pytest.mark.parametrize(("query", "grinder"), [("&grinder=harrow", "harrow"), ("&points=14:480+20:690+26:900", "own")])
def test_it_names_the_grinder_it_was_adapted_to_and_the_window_of_its_own_plan(client, address, query, grinder):
    GrinderFactory(name="Harrow", slug="harrow")
    assert post(client, address + query, token=token(client, address + query)).status_code == 200
    brew = HomeBrew.objects.get()
    assert brew.grinder == grinder
    asked = adapt_request.parse(
        {"dose": "20", **dict(part.split("=") for part in query[1:].replace("+", " ").split("&"))}
    )
    plan = adapted_sheet.readers_snapshot(brew.version, asked.request, lot=brew.lot, today=timezone.localdate())
    assert (brew.window_low_s, brew.window_high_s) == (plan.assessment.drained.low, plan.assessment.drained.high)


def test_the_form_says_how_long_it_is_kept(client, address):
    assert "It is deleted after 365 days." in client.get(address).content.decode()


@pytest.mark.data
def test_once_and_no_more(client, address):
    good = token(client, address)
    assert post(client, address, token=good).status_code == 200
    again = post(client, address, token=good)
    assert again.status_code == 409
    assert "0:12 Pour" in again.content.decode()  # nothing typed is lost
    assert HomeBrew.objects.count() == 1


@pytest.mark.data
@pytest.mark.parametrize(
    ("headers", "fields", "status"),
    [
        ({"Origin": "https://elsewhere.example"}, {}, 403),
        ({}, {}, 403),
        (OUR, {"token": "made-up"}, 400),
        (OUR, {"homepage": "filled"}, 400),
        (OUR, {"text": "  "}, 400),
        (OUR, {"text": "x" * 2001}, 400),
        (OUR, {"drained": "7201"}, 400),
        (OUR, {"drained": "soon"}, 400),
    ],
)
def test_nothing_else_is_kept(client, address, headers, fields, status):
    answer = post(client, address, headers, **{"token": token(client, address), **fields})
    assert answer.status_code == status
    assert HomeBrew.objects.count() == 0


@pytest.mark.data
def test_control_the_same_post_without_what_is_wrong_is_kept(client, address):
    post(client, address, token=token(client, address))
    assert HomeBrew.objects.count() == 1


@pytest.mark.data
def test_one_sender_fills_nothing(client, address):
    seen = [post(client, address, token=token(client, address)).status_code for _ in range(8)]
    assert seen == [200] * 6 + [429] * 2


def test_the_form_is_kept_nowhere_and_sets_no_cookie(client, address):
    answer = client.get(address)
    assert answer.headers["Cache-Control"] == "no-store"
    assert not answer.cookies


def test_the_desk_reads_it_and_nobody_changes_it(client, address):
    post(client, address, token=token(client, address))
    boss = world.boss()
    boss.is_staff = True
    boss.save()
    client.force_login(boss)
    brew = HomeBrew.objects.get()
    page = client.get(f"/admin/guides/homebrew/{brew.pk}/change/").content.decode()
    assert "0:12 Pour" in page
    assert 'name="_save"' not in page


@pytest.mark.browser
@pytest.mark.parametrize(
    "show", [{"color_scheme": "light"}, {"color_scheme": "dark"}, {"forced_colors": "active"}], ids=str
)
def test_from_the_brew_to_the_roastery(browser, live_server, monkeypatch, address, show):
    monkeypatch.setattr(form_token, "LEAST_S", -1)  # no person reads and sends a form as soon as this does
    context = browser.new_context(viewport={"width": 320, "height": 568}, reduced_motion="reduce", **show)
    tab = Tab(context.new_page(), live_server.url)
    tab.go(address.replace("/send", ""))
    tab.page.click("[data-part=start]")
    tab.page.click("[data-part=more]")
    tab.page.evaluate("document.querySelector('[data-part=stop]').click()")
    tab.page.click("[data-part=stop-yes]")
    tab.page.click("[data-part=send]")
    tab.page.wait_for_url("**/send**")
    assert "Pour" in tab.page.input_value("#brew-text")
    assert HomeBrew.objects.count() == 0
    assert tab.quiet(), tab
    form = tab.axe(), tab.overflow()
    tab.page.click("text=Send it")
    assert "It has arrived" in tab.page.inner_text("main")
    assert HomeBrew.objects.count() == 1
    assert context.cookies() == []
    tab.refused.clear()  # axe styles the page inline
    assert tab.quiet(), tab
    assert [form, (tab.axe(), tab.overflow())] == [([], 0)] * 2
    context.close()
