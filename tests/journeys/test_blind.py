"""A blind tasting in a real Chromium: opened at the desk, tasted on phones with or without scripts, revealed."""

from __future__ import annotations

import pytest

from guides.lifecycle import form_token
from guides.models import Roastery, Taster, Tasting
from guides.public import tastings
from tests.admin.addresses import add
from tests.browser import Tab
from tests.factories import LotFactory

from .people import at_work, looks_right

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture(autouse=True)
def _people_take_their_time(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(form_token, "LEAST_S", -1)  # however fast the machine
    monkeypatch.setattr(tastings, "LOOK_AGAIN_S", 0.3)


def _phone(browser, home: str, *, scripts: bool) -> Tab:
    context = browser.new_context(viewport={"width": 360, "height": 740}, java_script_enabled=scripts)
    return Tab(context.new_page(), home, scripts=scripts)


def test_a_triangle_from_the_desk_to_every_phone(browser, live_server):
    Roastery.objects.create(name="Mossgull Roasting Room", languages=["en", "sv"])
    old, new = LotFactory(name="OM-071"), LotFactory(name="OM-084")
    desk = at_work(browser, live_server.url, "roaster")
    desk.go(add(Tasting))
    looks_right(desk)
    desk.page.select_option("#id_kind", "triangle")
    desk.page.fill("#id_title", "Old crop or new")
    for lot in (old, new):
        desk.page.check(f"input[name=cups][value=l{lot.pk}]")
    desk.page.click("[name=_save]")
    desk.page.wait_for_url("**/change/")
    looks_right(desk)
    number = desk.page.inner_text("dd.code")

    phones = [_phone(browser, live_server.url, scripts=scripts) for scripts in (True, False, False)]
    for phone in phones:
        _join(phone, number)
        _taste(phone)
    assert Taster.objects.filter(sent_at__isnull=False).count() == 3
    for phone in phones:
        assert not phone.page.context.cookies()
        assert "OM-0" not in phone.page.inner_text("main")

    late = _phone(browser, live_server.url, scripts=False)
    _join(late, number)
    desk.page.get_by_role("link", name="Reveal the cups").click()
    desk.page.click("#content [type=submit]")
    desk.page.wait_for_url("**/change/")
    looks_right(desk)
    assert "of 3 found the odd cup" in desk.page.inner_text(".printed")
    assert "ISO 4120" in desk.page.inner_text(".printed")

    phones[1].page.click("text=Look again")
    phones[0].page.get_by_text("OM-071").first.wait_for()  # it looks by itself
    looks_right(phones[0])
    for phone in phones[:2]:
        text = phone.page.inner_text("main")
        assert "OM-071" in text
        assert "OM-084" in text
        assert "of 3 found the odd cup" in text
    late.page.locator("[name=choice]").first.check()
    late.page.click("text=Send my notes")
    assert "Too late" in late.page.inner_text("main")


def _join(phone: Tab, number: str) -> None:
    phone.go("/en/taste/")
    phone.page.fill("#number", number)
    phone.page.click("main button")
    if phone.scripts:
        looks_right(phone)
    phone.page.click("text=Take a place")
    phone.page.locator("[name=choice]").first.wait_for()


def _taste(phone: Tab) -> None:
    page = phone.page
    if phone.scripts:
        looks_right(phone)
        assert min(box.bounding_box()["height"] for box in page.locator(".choose").all()) >= 44
    page.locator("textarea").first.fill("Tea rose")
    page.click("text=Send my notes")
    assert "guess if you cannot tell" in page.inner_text("main")
    assert page.locator("textarea").first.input_value() == "Tea rose"  # nothing typed is lost
    page.locator("[name=choice]").nth(1).check()
    page.click("text=Send my notes")
    assert "Your notes are in" in page.inner_text("main")
