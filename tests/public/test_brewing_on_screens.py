"""The brewing page on every screen: small, on its side, magnified, read from the right; in every colour scheme.

Outside checks: WCAG 2.2, 1.4.4 (text at 200 %) and 1.4.10 (reflow at 320 CSS pixels); axe-core's rules for AA.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from guides.models import Roastery
from tests.browser import Tab
from tests.factories import GuideVersionFactory, published

from . import world
from .brewing import Brew, guide

__all__ = ["guide"]

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
NINE = (
    *({"start_s": 30 * pour, "end_s": 30 * pour + 15, "target_g": 40 * (pour + 1)} for pour in range(7)),
    {"start_s": 200, "end_s": 203, "action": "stir", "turns": 1},
    {"start_s": 210, "end_s": 212, "action": "swirl", "turns": 1},
)
# How far the page and the table go beyond the window; what is in view of the rows that matter, and of the controls.
LOOK = """() => {
  const seen = (part) => {
    const box = part.getBoundingClientRect();
    return box.height > 0 && box.left >= 0 && box.top >= 0 && box.right <= innerWidth && box.bottom <= innerHeight;
  };
  const rows = document.querySelector('[data-part=table]').getBoundingClientRect();
  return {
    beyond: [document.documentElement.scrollWidth - innerWidth, document.documentElement.scrollHeight - innerHeight],
    hidden: ['.now', '.next', '.now .target', '[data-part=clock]', '[data-part=main]', '[data-part=more]'].filter(
      (css) => document.querySelector(css)?.textContent && !seen(document.querySelector(css))),
    cut: ['.now', '.next'].filter((css) => document.querySelector(css)?.getBoundingClientRect().bottom > rows.bottom + 1
      || document.querySelector(css)?.getBoundingClientRect().top < rows.top - 1),
  };
}"""
FITS = {"beyond": [0, 0], "hidden": [], "cut": []}


@pytest.fixture
def on_screen(browser, live_server) -> Iterator[Any]:
    """Open a brewing page in a window of a size, its letters twice as large if asked."""
    opened = []

    def on(width: int, height: int, path: str, letters_px: int = 16) -> Brew:
        context = browser.new_context(viewport={"width": width, "height": height})
        opened.append(context)
        tab = Tab(context.new_page(), live_server.url)
        sizes = {"fontSizes": {"standard": letters_px, "fixed": letters_px}}
        context.new_cdp_session(tab.page).send("Page.setFontSizes", sizes)  # as in the browser's own settings
        return Brew(tab, path)

    yield on
    for context in opened:
        context.close()


@pytest.mark.parametrize(("width", "height"), [(320, 568), (360, 640), (390, 844), (1280, 800)])
def test_nothing_scrolls_while_brewing(browser, live_server, guide, width, height):
    context = browser.new_context(viewport={"width": width, "height": height})
    brew = Brew(Tab(context.new_page(), live_server.url), f"/fi/guides/{guide.guide.slug}/brew/")
    brew.tap("start")
    for second in (3, 38, 58, 76):
        brew.until(second)
        page, table = brew.page.evaluate(
            """[document.documentElement, document.querySelector('[data-part=table]')]
                 .map((part) => [part.scrollHeight - part.clientHeight, part.scrollWidth - part.clientWidth])"""
        )
        assert (page, table) == ([0, 0], [0, 0]), (second, page, table)
        size = brew.page.evaluate("parseFloat(getComputedStyle(document.querySelector('.now .target')).fontSize)")
        assert size >= 40
        assert brew.page.locator("[data-part=main]").bounding_box()["height"] >= 72
        bottom = brew.page.locator("[data-part=more]").bounding_box()
        assert bottom["y"] + bottom["height"] <= height
    context.close()


def test_of_nine_rows_the_present_and_the_next_are_always_in_view(on_screen):
    world.roastery()
    version = published(GuideVersionFactory(steps=NINE, water_g="280.0"))
    brew = on_screen(320, 568, f"/fi/guides/{version.guide.slug}/brew/")
    brew.tap("start")
    assert brew.page.locator("tr.row").count() == 10
    shown = {}
    for second in (1, 29, 59, 89, 119, 149, 179, 199, 208, 214):
        brew.until(second)
        shown[brew.present()] = brew.page.evaluate(LOOK)
    assert len(shown) >= 9
    assert shown == dict.fromkeys(shown, FITS)


@pytest.mark.parametrize(("width", "height"), [(568, 320), (640, 400)], ids=["on its side", "1280 x 800 at 200 %"])
def test_low_and_wide_it_stands_in_two_columns(on_screen, guide, width, height):
    brew = on_screen(width, height, f"/en/guides/{guide.guide.slug}/brew/")
    brew.tap("start")
    for second in (3, 38, 76):
        brew.until(second)
        assert brew.page.evaluate(LOOK) == FITS, second
    table, panel = (brew.page.locator(css).bounding_box() for css in (".rows", ".panel"))
    assert table["x"] + table["width"] <= panel["x"]


def test_with_letters_twice_as_large_nothing_is_cut_off(on_screen, guide):
    brew = on_screen(360, 640, f"/en/guides/{guide.guide.slug}/brew/", letters_px=32)
    brew.tap("start")
    brew.until(38)
    assert brew.page.evaluate("parseFloat(getComputedStyle(document.querySelector('.now .target')).fontSize)") >= 80
    assert brew.page.evaluate(LOOK)["beyond"][0] == 0
    for part in (".now .target", ".now .large", "[data-part=clock]", "[data-part=main]", "[data-part=more]"):
        found = brew.page.locator(part)
        found.scroll_into_view_if_needed()
        box = found.bounding_box()
        assert box["x"] >= 0, part
        assert box["x"] + box["width"] <= 360, part
        assert found.evaluate("(it) => it.scrollWidth - it.clientWidth") <= 1, part


def test_on_a_small_phone_drawings_stand_in_for_rows_far_off_by_choice(on_screen, guide):
    brew = on_screen(320, 568, f"/en/guides/{guide.guide.slug}/brew/")
    assert brew.page.locator("[data-drawings-choice]").first.inner_text() == "Drawings are off"
    brew.page.locator(".before-clock [data-drawings-choice]").click()
    brew.tap("start")
    brew.until(20)
    for drawing in ("[data-part=cone]", "[data-path='0']"):
        box = brew.page.locator(drawing).bounding_box()
        assert box["x"] >= 0, drawing
        assert box["x"] + box["width"] <= 320, drawing
        assert box["y"] > brew.page.locator(".next").bounding_box()["y"], drawing
        assert box["y"] + box["height"] < brew.page.locator("[data-part=clock]").bounding_box()["y"], drawing
    assert brew.page.evaluate(LOOK) == FITS
    brew.page.reload()
    assert brew.page.is_visible("[data-part=sights]"), "kept on this phone"
    brew.tap("more")
    brew.page.click("[data-part=more-dialog] [data-drawings-choice]")
    brew.page.click("[data-part=more-dialog] [data-close]")
    assert not brew.page.is_visible("[data-part=sights]")
    assert brew.page.locator("tr.row:visible").count() == 7
    assert brew.tab.quiet()


def test_read_from_the_right_it_is_mirrored(on_screen, guide, settings):
    settings.LANGUAGES = [*settings.LANGUAGES, ("ar", "Arabic")]
    Roastery.objects.update(languages=["en", "ar"])
    brew = on_screen(320, 568, f"/ar/guides/{guide.guide.slug}/brew/")
    brew.tap("start")
    brew.until(20)
    assert brew.page.get_attribute("html", "dir") == "rtl"
    assert brew.page.evaluate(LOOK) == FITS
    x = {css: brew.page.locator(css).bounding_box()["x"] for css in (".next .clock", ".next .target")}
    assert x[".next .clock"] > x[".next .target"]
    assert brew.page.locator(".now").evaluate("(it) => getComputedStyle(it).borderRightWidth") == "6px"
    brew.tap("more")
    assert brew.tab.overflow() == 0
    brew.flow()
    assert brew.tab.quiet()
    assert brew.tab.axe() == []


@pytest.mark.parametrize(
    "show", [{"color_scheme": "light"}, {"color_scheme": "dark"}, {"forced_colors": "active"}], ids=str
)
def test_axe_finds_nothing_at_any_stage(browser, live_server, guide, show):
    context = browser.new_context(viewport={"width": 360, "height": 640}, reduced_motion="reduce", **show)
    brew = Brew(Tab(context.new_page(), live_server.url), f"/en/guides/{guide.guide.slug}/brew/")
    brew.flow()
    found = {"before": brew.tab.axe()}
    brew.tap("start")
    brew.until(78)
    found["brew"] = brew.tab.axe()
    brew.tap("more")
    found["more"] = brew.tab.axe()
    brew.page.click("[data-part=more-dialog] [data-close]")
    brew.tap("over")
    found["over"] = brew.tab.axe()
    brew.page.click("[data-part=over-dialog] [data-close]")
    brew.tap("more")
    brew.page.evaluate("document.querySelector('[data-part=stop]').click()")
    brew.page.click("[data-part=stop-yes]")
    for question in brew.page.locator(".taps").all():
        question.locator("label").first.click()
    brew.tap("keep")
    brew.page.click("[data-part=kept-brews] summary")
    assert brew.page.locator("[data-part=bed-says]").inner_text()
    found["after"] = brew.tab.axe()
    assert brew.tab.overflow() == 0
    context.close()
    assert found == {name: [] for name in found}


def test_without_scripts_the_table_stands_open(browser, live_server, guide):
    context = browser.new_context(java_script_enabled=False, viewport={"width": 320, "height": 568})
    page = context.new_page()
    page.goto(f"{live_server.url}/en/guides/{guide.guide.slug}/brew/")
    assert "Any clock will do" in page.inner_text("main")
    assert page.locator("tr.row").count() == 7
    assert "Pour to 60" in page.inner_text("tr.row >> nth=0")
    assert not page.is_visible("[data-part=main]")
    context.close()
