"""A brew in a real Chromium, its clock in our hands: on time, late, too much, forgotten, paused, asleep, reloaded."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from .brewing import Brew, guide

__all__ = ["guide"]

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def brew(tab, guide) -> Iterator[Brew]:
    tab.resize(360, 640)
    yield Brew(tab, f"/en/guides/{guide.guide.slug}/brew/")
    assert tab.quiet(), (tab.refused, tab.errors, tab.strangers)


def test_on_time_no_tap_is_needed_between_the_valves(brew):
    brew.tap("start")
    assert brew.stage() == "brew"
    assert (brew.present(), "60 g" in brew.row(0)) == (0, True)
    brew.until(36)
    assert brew.present() == 0
    brew.until(38)
    assert brew.present() == 1  # three seconds ahead, by sight
    assert "in 0:0" in brew.row(1)
    brew.until(66)
    assert brew.present() == 2
    brew.until(76)
    assert brew.present() == 3
    brew.tap("main")
    brew.until(112)
    assert "drain" in brew.row(5)
    brew.until(185)
    brew.tap("main")
    assert "As expected" in brew.text("said")
    brew.tap("main")
    assert brew.stage() == "after"
    assert "3:05" in brew.text("log")


def test_pour_valve_and_stop_sound_differently(brew):
    brew.tap("start")
    brew.until(14)
    assert brew.page.evaluate("window.heard") == [3]
    brew.until(41)
    assert brew.page.evaluate("window.heard") == [3, 1]
    brew.until(76)
    assert brew.page.evaluate("window.heard") == [3, 1, 3, 1, 2]


def test_five_seconds_late_keeps_the_clock(brew):
    brew.tap("start")
    brew.until(78)
    brew.tap("main")
    assert "The clock stays" in brew.text("said")
    assert brew.row(4).startswith("1:25")


def test_later_moves_what_follows_and_says_what_it_does_to_the_cup(brew):
    brew.tap("start")
    brew.until(95)
    assert brew.present() == 3  # a valve waits for a tap
    assert "0:20 late" in brew.row(3)
    assert brew.text("main") == "Done only now"
    brew.tap("main")
    said = brew.text("said")
    assert "What follows moves by 0:20" in said
    assert "longer: expect a fuller cup" in said
    assert brew.row(4).startswith("1:45")


def test_a_forgotten_tap_moves_nothing(brew):
    brew.tap("start")
    brew.until(95)
    brew.tap("in-time")
    assert brew.present() == 4
    assert brew.row(4).startswith("1:25")


def test_too_much_poured_is_planned_anew_from_the_table(brew):
    brew.tap("start")
    brew.until(106)
    assert brew.present() == 3
    brew.tap("in-time")
    brew.tap("over")
    brew.page.get_by_role("button", name="200 g", exact=True).click()
    assert "Add only 40 g to the cup" in brew.text("said")
    assert "200 g" in brew.row(4)


def test_outside_the_table_the_page_says_so(brew):
    brew.tap("start")
    brew.until(10)
    brew.tap("over")
    assert brew.page.locator("[data-part=readings] button").count() == 8
    brew.tap("beyond")
    assert "more than this page has a plan for" in brew.text("said")


def test_a_valve_that_was_never_shut(brew):
    brew.tap("start")
    brew.until(20)
    brew.tap("drip")
    assert "it is not shut" in brew.text("said")
    assert "lighter cup" in brew.text("said")


def test_a_first_drip_is_judged_from_the_opening(brew):
    brew.tap("start")
    brew.until(75.5)
    brew.tap("main")
    brew.until(79)
    brew.tap("drip")
    assert "as it should" in brew.text("said")


def test_waiting_moves_the_plan_but_not_the_clock(brew):
    brew.tap("start")
    brew.until(20)
    brew.tap("wait")
    assert "The plan waits" in brew.text("said")
    brew.until(50)
    assert brew.present() == 0
    assert brew.text("main") == "Go on"
    brew.tap("main")
    assert brew.text("clock") == "0:50"
    assert brew.row(1).startswith("1:10")  # 0:40 as planned, and 30 s later


def test_undo_for_five_seconds_and_no_longer(brew):
    brew.tap("start")
    brew.until(76)
    brew.tap("main")
    assert brew.present() == 4
    brew.run(3.5)
    brew.tap("undo")
    assert brew.present() == 3
    brew.tap("main")
    brew.run(5.2)
    assert not brew.page.is_visible("[data-part=undo]")


def test_a_second_hit_of_the_same_finger_is_ignored(brew):
    brew.tap("start")
    brew.until(76)
    brew.page.evaluate("for (const hit of [1, 2, 3]) { document.querySelector('[data-part=main]').click(); }")
    assert brew.present() == 4
    kept = "JSON.parse(localStorage.getItem(Object.keys(localStorage).find((key) => key.startsWith('brew:'))))"
    assert brew.page.evaluate(f"{kept}.log.length") == 1


def test_stopping_needs_a_hold(brew):
    brew.tap("start")
    brew.tap("more")
    box = brew.page.locator("[data-part=stop]").bounding_box()
    brew.page.mouse.move(box["x"] + 20, box["y"] + 20)
    brew.page.mouse.down()
    brew.run(0.6)
    brew.page.mouse.up()
    assert brew.stage() == "brew"
    brew.page.mouse.down()
    brew.run(1.1)
    brew.page.mouse.up()
    assert brew.stage() == "after"


def test_stopping_by_key_and_by_a_click_without_a_finger(brew):
    brew.tap("start")
    brew.tap("more")
    brew.page.evaluate("document.querySelector('[data-part=stop]').click()")  # as screen readers and switches do
    assert brew.page.is_visible("[data-part=stop-yes]")
    brew.page.click("[data-part=stop-dialog] [data-close]")
    brew.page.focus("[data-part=stop]")
    brew.page.keyboard.down("Enter")
    brew.run(1.1)
    brew.page.keyboard.up("Enter")
    assert brew.stage() == "after"


def test_a_phone_that_slept_wakes_where_the_clock_is(brew):
    brew.tap("start")
    brew.until(10)
    brew.sleep(48)
    brew.run(0.4)
    assert brew.text("clock") == "0:58"
    assert brew.present() == 1


def test_a_page_loaded_again_goes_on_in_any_language(brew, guide):
    brew.tap("start")
    brew.until(95)
    brew.tap("main")
    brew.page.reload()
    assert (brew.stage(), brew.present()) == ("brew", 4)
    brew.tap("more")
    brew.page.click("[data-part=more-dialog] [lang=fi]")
    brew.page.wait_for_url("**/fi/**")
    assert (brew.stage(), brew.present()) == ("brew", 4)
    assert brew.row(4).startswith("1:45")
    assert "Kaada" in brew.row(4)


def test_a_brew_of_yesterday_is_not_gone_on_with(brew):
    brew.tap("start")
    brew.sleep(24 * 3600)
    brew.page.reload()
    assert brew.stage() == "before"


CUT = """() => [...document.querySelectorAll("[data-row] > :is(.when, th, .target)")]
    .filter((cell) => cell.scrollWidth > cell.clientWidth + 1).map((cell) => cell.textContent.trim())"""


@pytest.mark.parametrize("width", [320, 360])
def test_the_table_stands_whole_before_the_clock(tab, guide, width):
    """Before the first pour every time is a span, or a word."""
    tab.resize(width, 568)
    for language in ("en", "sv", "fi"):
        tab.go(f"/{language}/guides/{guide.guide.slug}/brew/")
        tab.page.wait_for_selector(".brew.live")
        assert tab.page.evaluate(CUT) == []
    tab.page.evaluate(
        "document.querySelectorAll('[data-row]').forEach((row) => row.style.gridTemplateColumns = '2.9rem 1fr auto')"
    )
    assert tab.page.evaluate(CUT), "negative control: the narrow column of a running brew"


def test_what_is_before_the_clock_is_ticked_or_skipped(brew):
    lines = brew.page.locator(".checks li")
    assert lines.count() >= 7
    lines.nth(0).locator("input").check()
    lines.nth(1).get_by_role("button").click()
    assert lines.nth(1).get_by_role("button").get_attribute("aria-pressed") == "true"


def test_from_the_guide_to_the_first_pour_in_two_taps(tab, guide):
    tab.resize(360, 640)
    tab.go(f"/en/guides/{guide.guide.slug}/")
    tab.page.click("text=Brew it now")
    tab.page.click("[data-part=start]")
    assert "60\N{NO-BREAK SPACE}g" in tab.page.inner_text(".row.now")


def drawn_now(page: Any) -> tuple[int, tuple[float, bool, bool]]:
    """The clock's second; where the water is drawn, and whether the valve is drawn open, and shut."""
    clock, water, *ways = page.evaluate(
        """['clock', 'water', 'open', 'shut'].map((name) => document.querySelector(`#brew [data-part=${name}]`))
             .map((part, index) => [part.textContent, part.getAttribute('y')][index]
                                   ?? getComputedStyle(part).display !== 'none')"""
    )
    minutes, seconds = clock.split(":")
    return 60 * int(minutes) + int(seconds), (float(water), *ways)


def moment_sent(page: Any, second: float) -> tuple[float, bool, bool]:
    """The last moment the server sent for a second, or before it."""
    sent = page.evaluate("JSON.parse(document.getElementById('brew-plan').textContent).sights.moments")
    *_, (_, water, _, is_open) = (moment for moment in sent if moment[0] <= second)
    return water, is_open, not is_open


@pytest.mark.parametrize("query", ["", "?dose=12"])
def test_the_brewer_fills_as_the_server_foresaw(tab, guide, query):
    tab.resize(390, 844)
    brew = Brew(tab, f"/en/guides/{guide.guide.slug}/brew/{query}")
    brew.tap("start")
    assert brew.page.is_visible("[data-part=sights]")
    seen = {}
    for second in (9, 51):
        brew.until(second)
        shown, seen[second] = drawn_now(brew.page)
        assert seen[second] == moment_sent(brew.page, shown)
    assert seen[9] != seen[51]
    assert brew.page.locator("[data-path]:visible").count() <= 1
    assert brew.page.locator("[role=status] svg:visible").count() == 0
    assert tab.quiet(), (tab.refused, tab.errors, tab.strangers)


def test_a_late_valve_holds_the_drawing_until_it_is_turned(tab, guide):
    tab.resize(390, 844)
    brew = Brew(tab, f"/en/guides/{guide.guide.slug}/brew/")
    brew.tap("start")
    brew.until(84)
    _, held = drawn_now(brew.page)
    brew.until(95)
    assert drawn_now(brew.page)[1] == held
    brew.tap("main")
    brew.until(104)
    _, (_, is_open, is_shut) = drawn_now(brew.page)
    assert (is_open, is_shut) == (True, False)
