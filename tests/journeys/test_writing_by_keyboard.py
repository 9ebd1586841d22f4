"""A head roaster writes a whole draft without touching the mouse, the check following every key."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser

from guides.lifecycle import content
from guides.models import GuideVersion, Step
from tests.browser import Tab
from tests.factories import BrewerFactory, GuideFactory, ValveBrewerFactory, ValveVersionFactory

from .people import at_work, tab_to

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def desk(browser: Browser, live_server: Any) -> Iterator[Tab]:
    tab = at_work(browser, live_server.url, "publisher")
    yield tab
    tab.page.context.close()


def _checked(tab: Tab, words: str) -> None:
    tab.page.wait_for_function(
        "(words) => document.querySelector('#check').innerText.includes(words)", arg=words, timeout=9000
    )


def _titles(tab: Tab) -> list[str]:
    rows = tab.page.query_selector_all("#steps-group .inline-related:not(.empty-form):not(.removed) .inline_label")
    return [row.inner_text() for row in rows]


def test_from_a_usual_plan_to_a_saved_draft_without_the_mouse(desk: Tab) -> None:
    guide, brewer = GuideFactory(), BrewerFactory(name="Mast cone")
    tab, page = desk, desk.page
    tab.go(f"/admin/guides/guide/{guide.pk}/change/")
    tab_to(tab, f"a.button[href*='plan=pulses%3A{brewer.pk}']")
    page.keyboard.press("Enter")
    page.wait_for_url("**plan=pulses**")
    assert page.input_value("#id_dose_g") == "15"

    tab_to(tab, "#id_summary")
    page.keyboard.type("Clear and floral.")
    _checked(tab, "Clear and floral.")
    assert page.inner_text("#check-title") == "Check of what is typed"
    _checked(tab, "The plan holds")

    # The second pour goes down one place and up again; a copy of it is made, taken out and put back.
    tab_to(tab, "#id_steps-1-start_s")
    second, third = _titles(tab)[1][3:], _titles(tab)[2][3:]
    page.keyboard.press("Alt+ArrowDown")
    assert [title[3:] for title in _titles(tab)[1:3]] == [third, second]
    assert page.inner_text("#steps-said") == "Moved: now step 3 of 5."
    assert page.evaluate("document.activeElement.id") == "id_steps-1-start_s"
    _checked(tab, "To put right before publishing")
    page.keyboard.press("Alt+ArrowUp")
    _checked(tab, "The plan holds")
    tab_to(tab, "#steps-2 [data-do=double]")
    page.keyboard.press("Enter")
    assert len(_titles(tab)) == 6
    assert page.evaluate("document.activeElement.name").endswith("-start_s")
    copy = page.evaluate("document.activeElement.closest('.inline-related').id")
    _checked(tab, "no more than the")
    page.focus(f"#{copy} [data-do=remove]")
    page.keyboard.press("Enter")
    assert len(_titles(tab)) == 5
    assert page.evaluate("document.activeElement.dataset.do") == "keep"
    page.keyboard.press("Space")
    assert len(_titles(tab)) == 6
    page.keyboard.press("Enter")
    _checked(tab, "The plan holds")

    # A broken field is said beside what can still be worked out; mended, the rest follows.
    page.focus("#id_kettle_c")
    page.keyboard.press("Control+A")
    page.keyboard.type("9")
    page.keyboard.press("Backspace")
    _checked(tab, "Still empty: kettle reads, °c.")
    assert "Brew ratio" in page.inner_text("#check")
    page.keyboard.type("94")
    _checked(tab, "Drained")
    page.keyboard.press("Enter")
    page.wait_for_url("**/change/#check")
    version = GuideVersion.objects.get()
    assert [step.position for step in version.steps.all()] == [1, 2, 3, 4, 5]
    assert content.refusals(version) == []
    assert tab.quiet(), tab
    assert tab.axe() == []


def test_a_wanted_first_drip_goes_into_the_steps_by_keyboard(desk: Tab) -> None:
    version, tab, page = ValveVersionFactory(), desk, desk.page
    for width in (1280, 360):
        tab.resize(width)
        tab.go(f"/admin/guides/guideversion/{version.pk}/change/")
        assert page.locator("[name=_check]:visible").count() == 0
        tab_to(tab, "#id_drip")
        page.keyboard.type("1:32")
        _checked(tab, "Open at 1:30")
        assert page.evaluate("document.activeElement.id") == "id_drip"
        assert page.input_value("#id_drip") == "1:32"
        assert tab.overflow() <= 0
        small = page.evaluate(
            """() => [...document.querySelectorAll('.moves .button, .openings .button, #id_drip, .add-step .button')]
                 .filter((one) => one.offsetParent && one.getBoundingClientRect().height < 44).length"""
        )
        assert small == 0
        assert tab.quiet(), tab
        assert tab.axe() == []
        tab.refused.clear()
    tab_to(tab, ".wanted button")
    page.keyboard.press("Enter")
    assert page.input_value("#id_steps-3-start_s") == "1:30"
    assert page.input_value("#id_steps-4-start_s") == "1:40"
    assert Step.objects.get(version=version, action="open").start_s == 75, "nothing is saved by that"


def test_another_brewer_is_worked_out_at_once_and_a_stale_answer_never_shows(desk: Tab) -> None:
    version, large = ValveVersionFactory(), ValveBrewerFactory(name="Tidegate L", vessel__usable_ml=560)
    tab, page = desk, desk.page
    tab.go(f"/admin/guides/guideversion/{version.pk}/change/")
    _checked(tab, "190\N{NO-BREAK SPACE}g")
    page.focus("#id_brewer")
    page.keyboard.type("Tidegate L")
    page.keyboard.press("Tab")
    assert page.input_value("#id_brewer") == str(large.pk)
    _checked(tab, "500\N{NO-BREAK SPACE}g")
    for dose in ("20", "25", "30"):
        page.fill("#id_dose_g", dose)
        page.wait_for_timeout(320)
    _checked(tab, "1:6")
    page.wait_for_timeout(1000)
    assert "1:6" in page.inner_text("[data-figure=brew_ratio]")
    assert tab.quiet(), tab


def test_a_brewers_own_form_lists_what_fits_the_cone_chosen(desk: Tab) -> None:
    mine, other = ValveBrewerFactory(), ValveBrewerFactory()
    tab, page = desk, desk.page
    tab.go(f"/admin/guides/brewer/{mine.pk}/change/")
    assert page.locator("#id_paper option").all_inner_texts()[1:] == [str(mine.paper)]
    page.select_option("#id_vessel", str(other.vessel_id))
    assert page.locator("#id_paper option").all_inner_texts()[1:] == [str(other.paper)]
    assert page.input_value("#id_paper") == ""
    assert tab.quiet(), tab
