"""Public pages in a real Chromium: readable by all, on a phone and a desk, light, dark and in forced colours.

Outside check: axe-core's rules for WCAG 2.2 AA.
"""

from __future__ import annotations

import io
import re

import pytest
from pypdf import PdfReader

from guides.lifecycle import recall, withdraw
from guides.public.shelf import PER_PAGE
from tests.browser import Tab
from tests.factories import GrinderFactory, SiteFactory, ValveVersionFactory
from tests.factories.busy import busy_site

from . import world

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
SHOWS = [
    {"color_scheme": "light"},
    {"color_scheme": "dark"},
    {"color_scheme": "light", "forced_colors": "active"},
]
TOUCH = 44


@pytest.fixture
def addresses() -> dict[str, str]:
    world.roastery()
    GrinderFactory()
    lot, code = world.bag()
    first = world.guide_for(lot, in_depth="A *deep* text.", why="Because.")
    world.guide_for(lot, title="Second")
    world.next_revision(first, change_note="Coarser.")
    valve = world.published(ValveVersionFactory())
    called_back, recalled = world.bag()
    recall.recall(called_back, by=world.boss(), reason="A screw is missing.")
    gone = world.coffee_with_guide(title="Gone")
    withdraw.withdraw(gone, by=world.boss(), reason="Too hot.")
    busy_site(0, 5 * PER_PAGE, coffees=PER_PAGE)
    return {
        "home": "/en/",
        "second page": "/en/page/2/",
        "found": "/en/find/?coffee=c",
        "coffee": f"/en/coffees/{lot.coffee.slug}/",
        "guide": f"/en/guides/{valve.guide.slug}/",
        "bag": f"/L/{code}",
        "card": f"/L/{code}/{first.guide.number}.1.FI",
        "holding": f"/L/{world.bag()[1]}",
        "sheet of a guide that is not here": f"/S/{SiteFactory().code}/999.1.EN",
        "recalled": f"/L/{recalled}",
        "withdrawn": f"/en/guides/{gone.guide.slug}/",
        "typed": "/L/?code=ABC",
        "numbers": "/en/numbers/",
        "constants": "/en/numbers/constants/",
        "for shops": "/en/api/",
        "card of a guide": f"/en/guides/{valve.guide.slug}/card/",
        "card of a withdrawn one": f"/fi/guides/{gone.guide.slug}/card/",
    }


# Colours are the same at every width.
@pytest.mark.parametrize(("width", "shows"), [(360, SHOWS), (1280, SHOWS[:1])], ids=["phone", "desk"])
def test_every_page_reads_well_and_keeps_the_policy(browser, live_server, addresses, width, shows):
    broken = {}
    for show in shows:
        context = browser.new_context(viewport={"width": width, "height": 780}, reduced_motion="reduce", **show)
        tab = Tab(context.new_page(), live_server.url)
        for name, address in addresses.items():
            tab.go(address)
            tab.page.evaluate("document.querySelectorAll('details').forEach((fold) => { fold.open = true; })")
            assert tab.quiet(), (name, tab.refused, tab.errors, tab.strangers)
            assert tab.overflow() == 0, (name, width)
            if found := tab.axe():
                broken[name, width, *show.values()] = found
        context.close()
    assert not broken


def test_axe_would_notice(tab, addresses):
    """Negative control: the same page with its language taken away."""
    tab.go(addresses["guide"])
    tab.page.evaluate("document.documentElement.removeAttribute('lang')")
    assert any(found.startswith("html-has-lang") for found in tab.axe())


def test_controls_are_large_enough_for_a_thumb(tab, addresses):
    tab.resize(360)
    for name in ("home", "second page", "found", "bag", "card", "typed", "withdrawn"):
        tab.go(addresses[name])
        small = tab.page.evaluate(
            """(least) => [...document.querySelectorAll('a, button, input, summary')]
                 .filter((control) => control.offsetParent && !control.closest('p') && !control.matches('.skip'))
                 .map((control) => [control.textContent.trim(), control.getBoundingClientRect().height])
                 .filter(([, height]) => height < least)""",
            TOUCH,
        )
        assert not small, name


def test_nothing_moves_while_the_page_loads(browser, live_server, addresses):
    context = browser.new_context(viewport={"width": 360, "height": 780})
    page = context.new_page()
    page.add_init_script(
        """window.shift = 0;
        new PerformanceObserver((list) => { for (const entry of list.getEntries()) { window.shift += entry.value; } })
          .observe({type: 'layout-shift', buffered: true});"""
    )
    page.goto(live_server.url + addresses["guide"])
    page.evaluate("document.fonts.ready")
    page.wait_for_timeout(300)
    shift = page.evaluate("window.shift")
    print(f"layout shift {shift:.4f}")
    context.close()
    assert shift < 0.01


def test_our_own_letters_are_used(tab, addresses):
    tab.go(addresses["guide"])
    tab.page.evaluate("document.fonts.ready")
    assert tab.page.evaluate("[...document.fonts].filter((face) => face.status === 'loaded').length") >= 2


def test_a_page_works_from_the_keyboard_and_without_scripts(browser, live_server, addresses):
    context = browser.new_context(viewport={"width": 360, "height": 780}, java_script_enabled=False)
    page = context.new_page()
    page.goto(live_server.url + addresses["home"])
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    assert page.url.endswith("#main")
    page.goto(live_server.url + addresses["guide"])
    fold = page.locator("table.steps summary, .entry details summary").first
    fold.focus()
    page.keyboard.press("Enter")
    assert page.locator("details[open]").count() == 1
    code = addresses["bag"].rpartition("/")[2]
    page.goto(live_server.url + addresses["home"])
    page.fill("#code", f"{code[:4]} {code[4:]}".lower())
    page.click("button")
    assert page.url == live_server.url + addresses["bag"]
    context.close()


def test_zoomed_to_twice_the_size_nothing_is_cut_off(tab, addresses):
    """WCAG 2.2, 1.4.10: 320 CSS pixels are 1280 at 400 %."""
    tab.resize(320)
    for address in addresses.values():
        tab.go(address)
        assert tab.overflow() == 0, address


def test_printed_it_is_a_few_pages_of_a5(tab, addresses):
    tab.go(addresses["guide"])
    pages = PdfReader(io.BytesIO(tab.page.pdf(prefer_css_page_size=True))).pages
    width, height = (float(side) * 25.4 / 72 for side in (pages[0].mediabox.width, pages[0].mediabox.height))
    assert (round(width), round(height)) == (148, 210)  # ISO 216, A5
    assert len(pages) <= 3
    text = "".join(page.extract_text() for page in pages)
    assert re.search(r"Pour to 60.g", text)
    assert "SV" not in text.split("Rope Walk")[0]
