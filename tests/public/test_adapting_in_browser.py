"""A guide made one's own in a real Chromium: in one tap, remembered on the phone, and without scripts.

Outside check: axe-core's rules for WCAG 2.2 AA.
"""

from __future__ import annotations

import pytest

from guides.lifecycle.assign import assign
from tests.browser import Tab
from tests.factories import BrewerFactory, GrinderFactory, ValveVersionFactory

from . import world

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
KEPT = "localStorage.getItem('gear')"


@pytest.fixture
def guides():
    """Two guides of the house, and gear to choose from."""
    world.roastery(tap_alkalinity_mg_l=30)
    GrinderFactory(name="Harrow", slug="harrow")
    BrewerFactory(name="Little mast", slug="little-mast", vessel__usable_ml=300)
    first, second = world.coffee_with_guide(), world.published(ValveVersionFactory())
    return [f"/en/guides/{version.guide.slug}/" for version in (first, second)]


@pytest.mark.parametrize("width", [320, 360, 1280])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_page_of_it_reads_well(browser, live_server, guides, width, scheme):
    context = browser.new_context(viewport={"width": width, "height": 740}, color_scheme=scheme)
    tab = Tab(context.new_page(), live_server.url)
    broken = {}
    for query in (
        "?form=1",
        "?size=2&altitude=2000&alkalinity=190&grinder=harrow",
        "?dose=22&holds=150&mass=oz&temp=f&vol=imp&altitude=5000&alt=ft",
        "?size=2&dose=x&brewer=gone&points=1",
    ):
        tab.go(guides[1] + query)
        tab.page.evaluate("document.querySelectorAll('details').forEach((fold) => { fold.open = true; })")
        assert tab.overflow() == 0, query
        assert tab.quiet(), (query, tab.refused, tab.errors, tab.strangers)
        if found := tab.axe():
            broken[query] = found
    context.close()
    assert not broken


@pytest.mark.parametrize("language", ["sv", "fi"])
def test_longer_words_fit_the_narrowest_phone(tab, guides, language):
    tab.resize(320)
    for query in ("?form=1", "?size=2&altitude=2000&alkalinity=190&mass=oz", "?dose=x"):
        tab.go(guides[0].replace("/en/", f"/{language}/") + query)
        tab.page.evaluate("document.querySelectorAll('details').forEach((fold) => { fold.open = true; })")
        assert tab.overflow() == 0, query


def test_two_plans_on_a_page_keep_their_names_apart(tab, guides):
    tab.go(guides[0] + "?size=2")
    ids = tab.page.evaluate("[...document.querySelectorAll('[id]')].map((part) => part.id)")
    assert len(ids) == len(set(ids))


def test_controls_are_large_enough_for_a_thumb(tab, guides):
    tab.resize(320)
    for query in ("", "?form=1", "?size=2"):
        tab.go(guides[0] + query)
        small = tab.page.evaluate(
            """() => [...document.querySelectorAll('#yours a, #yours button, #yours input:not([type]), #yours select,'
                 + '#yours summary, #yours label:has(input)')]
                 .filter((control) => control.offsetParent && control.getBoundingClientRect().height < 44)
                 .map((control) => control.outerHTML.slice(0, 120))"""
        )
        assert not small, query


def test_two_cups_are_one_tap_away(tab, guides):
    tab.resize(360)
    tab.go(guides[0])
    tab.page.get_by_role("link", name="Two cups").click()
    assert tab.page.url.endswith("?size=2")
    assert tab.page.locator(".hero .dose").inner_text().replace("\xa0", " ").split("\n") == [
        "Coffee",
        "32 g",
        "was 16 g",
    ]
    assert tab.quiet()


def test_gear_is_kept_on_the_phone_and_used_on_the_next_guide_in_one_tap(tab, guides):
    tab.go(guides[0])
    assert not tab.page.get_by_text("Use my gear").is_visible()
    tab.page.get_by_role("link", name="Make it yours").click()
    tab.page.get_by_label("My grinder").select_option("Harrow")
    tab.page.get_by_label("Altitude, m").fill("1480")
    tab.page.get_by_label("or my dose, g").fill("20")
    tab.page.get_by_role("button", name="Make it mine").click()
    tab.page.wait_for_url("**/?dose=20&grinder=harrow&altitude=1480")
    assert tab.page.evaluate(KEPT) == "grinder=harrow&altitude=1480"
    tab.go(guides[1])
    tab.page.get_by_role("link", name="Use my gear").click()
    assert tab.page.url == tab.home + guides[1] + "?grinder=harrow&altitude=1480"
    assert tab.page.get_by_text("Harrow").count()
    assert tab.quiet()


def test_gear_in_a_size_keeps_the_size(tab, guides):
    tab.go(guides[0])
    tab.page.evaluate("localStorage.setItem('gear', 'altitude=1480')")
    tab.go(guides[0] + "?size=2")
    tab.page.get_by_role("link", name="Use my gear").click()
    assert tab.page.url.endswith("?size=2&altitude=1480")


def test_one_button_forgets_it_and_says_where_it_was(tab, guides):
    tab.go(guides[0])
    tab.page.evaluate("localStorage.setItem('gear', 'altitude=1480')")
    tab.go(guides[0] + "?form=1")
    assert tab.page.get_by_label("Altitude, m").input_value() == "1480"
    assert tab.page.get_by_text("are kept on this phone alone").is_visible()
    tab.page.get_by_role("button", name="Forget my gear").click()
    assert tab.page.evaluate(KEPT) is None
    assert not tab.page.get_by_text("are kept on this phone alone").is_visible()


def test_somebody_elses_link_changes_nothing_on_this_phone(tab, guides):
    tab.go(guides[0])
    tab.page.evaluate("localStorage.setItem('gear', 'altitude=1480')")
    tab.go(guides[0] + "?altitude=300")
    assert tab.page.evaluate(KEPT) == "altitude=1480"
    tab.page.get_by_role("button", name="Keep this gear on this phone").click()
    assert tab.page.evaluate(KEPT) == "altitude=300"


def test_nothing_is_sent_that_was_not_asked_for(tab, guides):
    tab.go(guides[0])
    tab.page.evaluate("localStorage.setItem('gear', 'altitude=1480')")
    asked: list[str] = []
    tab.page.on("request", lambda request: asked.append(request.url + (request.post_data or "")))
    tab.go(guides[1])
    tab.page.wait_for_load_state("networkidle")
    assert asked
    assert not [url for url in asked if "1480" in url]


def test_unticked_nothing_is_kept(tab, guides):
    tab.go(guides[0] + "?form=1")
    tab.page.get_by_label("Altitude, m").fill("1480")
    tab.page.get_by_label("Keep my gear").uncheck()
    tab.page.get_by_role("button", name="Make it mine").click()
    tab.page.wait_for_url("**/?altitude=1480")
    assert tab.page.evaluate(KEPT) is None


def test_the_next_bag_says_how_the_grind_moved_since_the_last(tab, guides):
    first, old_code = world.bag()
    version = world.guide_for(first, grind_um=660)
    tab.go(f"/L/{old_code}")
    tab.page.evaluate("localStorage.setItem('gear', 'altitude=3')")
    tab.go(f"/L/{old_code}")
    world.next_revision(version, grind_um=720, change_note="The new crop drains slower.")
    second, new_code = world.bag(coffee=first.coffee)
    assign(second, version.guide, by=world.boss())
    said = tab.page.locator("[data-since]")
    for _look in range(2):
        tab.go(f"/L/{new_code}")
        assert said.inner_text().replace("\xa0", " ") == (
            "Since your last bag: 60 μm coarser. The new crop drains slower."
        )
    tab.page.evaluate("localStorage.clear()")
    tab.go(f"/L/{new_code}")
    assert said.is_hidden()
    assert tab.page.evaluate("localStorage.length") == 0
    assert tab.quiet()


def test_without_scripts_it_is_a_plain_form(browser, live_server, guides):
    context = browser.new_context(viewport={"width": 360, "height": 740}, java_script_enabled=False)
    page = context.new_page()
    page.goto(live_server.url + guides[0])
    page.get_by_role("link", name="Make it yours").click()
    page.get_by_label("Altitude, m").fill("1480 m")
    page.get_by_role("button", name="Make it mine").click()
    assert page.get_by_text("This is no number").is_visible()
    assert page.get_by_label("Altitude, m").input_value() == "1480 m"
    page.get_by_label("Altitude, m").fill("1480")
    page.get_by_role("button", name="Make it mine").click()
    assert page.url == live_server.url + guides[0] + "?altitude=1480"
    assert page.get_by_text("just off the boil").is_visible()
    context.close()


def test_a_wrong_field_is_under_the_readers_eyes(tab, guides):
    tab.resize(360, 640)
    tab.page.emulate_media(reduced_motion="reduce")  # the page scrolls there at once
    tab.go(guides[0] + "?hardness=x")
    assert tab.page.evaluate("document.activeElement.name") == "hardness"
    assert tab.page.evaluate("document.activeElement.getBoundingClientRect().bottom") < 640
