"""A bag from last year at the bench: its lot is on no short list, and is found on a phone, with a script or without."""

from __future__ import annotations

import pytest
from playwright.sync_api import Locator

from guides.admin.choosing import RowField
from guides.models import Lot, Roastery, TrialBrew
from tests.admin.addresses import add
from tests.admin.conftest import at_desk_in  # noqa: F401 - a fixture
from tests.browser import Tab
from tests.factories import UserFactory
from tests.factories.busy import busy_site

from .people import at_work, looks_right

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
NUMBERS = {"dose_g": "15", "water_g": "240", "kettle_c": "93", "grind_um": "700"}


@pytest.fixture
def lot(monkeypatch: pytest.MonkeyPatch) -> Lot:
    """The oldest of more lots than a list holds."""
    monkeypatch.setattr(RowField, "most", 5)
    Roastery.objects.create(name="Mossgull Roasting Room")
    busy_site(8, 1, coffees=1)
    return Lot.objects.get(name="L-00007")


def large(control: Locator) -> bool:
    box = control.bounding_box()
    return box is not None and min(box["width"], box["height"]) >= 44


def test_a_junior_finds_it_in_place(browser, live_server, lot):
    junior = at_work(browser, live_server.url, "roaster", first_name="Sanni")
    junior.resize(360, 740)
    junior.go(add(TrialBrew))
    page = junior.page
    page.locator("#id_taste").fill("honey")
    search, button = page.locator("#id_lot_find"), page.locator("[name=lot_look]")
    assert large(search)
    assert large(button)
    looks_right(junior)
    search.fill("nothing of that name")
    search.press("Enter")
    page.get_by_text("Nothing is called “nothing of that name”.").wait_for()
    page.locator("#id_lot_find").fill("00007")
    page.locator("[name=lot_look]").click()
    page.get_by_text("“00007” is found and chosen.").wait_for()
    assert page.evaluate("document.activeElement.id") == "id_lot", "the finger and the reader are at the list"
    assert "id_lot_said" in (page.locator("#id_lot").get_attribute("aria-describedby") or "")
    assert page.locator("#id_taste").input_value() == "honey"
    looks_right(junior)
    _log(junior, lot)
    junior.resize(1280, 800)
    looks_right(junior)


def test_without_a_script_the_form_goes_and_comes_back(browser, live_server, lot, at_desk_in):  # noqa: F811
    window = browser.new_context(java_script_enabled=False, viewport={"width": 360, "height": 740})
    junior = Tab(window.new_page(), live_server.url, scripts=False)
    at_desk_in(junior, UserFactory(role="roaster"))
    junior.go(add(TrialBrew))
    page = junior.page
    page.locator("#id_taste").fill("honey")
    page.locator("#id_lot_find").fill("00007")
    with page.expect_navigation():
        page.locator("#id_lot_find").press("Enter")
    page.get_by_text("“00007” is found and chosen.").wait_for()
    assert page.locator(".errorlist").count() == 0
    assert page.locator("#id_taste").input_value() == "honey"
    _log(junior, lot)


def _log(tab: Tab, lot: Lot) -> None:
    for name, value in NUMBERS.items():
        tab.page.locator(f"#id_{name}").fill(value)
    tab.page.locator("#id_brewer").select_option(index=1)
    with tab.page.expect_navigation():
        tab.page.locator("#id_kettle_c").press("Enter")
    tab.page.locator(".messagelist").wait_for()
    brew = TrialBrew.objects.get(is_check_brew=False)
    assert (brew.lot, brew.taste) == (lot, "honey")
