"""The whole job in a real Chromium: lot, draft, review, check brew, publishing, printing, scanning, recall."""

from __future__ import annotations

from urllib.parse import urlsplit

import pytest
from django.utils import timezone

from guides.models import GuideVersion, Lot, Roastery, TrialBrew
from tests.admin.addresses import act, add, change
from tests.browser import Tab
from tests.documents.printing import decoded_by_zxing, printed
from tests.factories import GrinderFactory, ValveVersionFactory

from .people import at_work

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def _press(tab: Tab) -> None:
    tab.page.click("#content [type=submit]:not([name=_then])")


def test_from_a_roasted_lot_to_a_scanned_guide(browser, live_server):
    Roastery.objects.create(name="Mossgull Roasting Room", languages=["en", "sv"])
    GrinderFactory()
    draft = ValveVersionFactory(title="Rope Walk in the Tidegate S")
    roaster, publisher = (at_work(browser, live_server.url, role) for role in ("roaster", "publisher"))

    lot = _enter_lot(roaster, draft)
    roaster.go(change(draft))
    roaster.page.click("[name=_then][value=submit]")
    _press(roaster)

    _log_check_brew(publisher, lot, draft)
    publisher.go(act(draft, "publish"))
    _press(publisher)
    assert "Published as revision 1" in publisher.page.inner_text(".locked")

    roaster.go(change(lot))
    roaster.page.click("text=Add another")
    roaster.page.select_option("#id_assignments-0-guide", value=str(draft.guide_id))
    roaster.page.click("[name=_continue]")
    pdf = _print_insert(roaster)

    (scanned,) = decoded_by_zxing(printed(pdf, page=1))
    code = lot.addresses.get().code
    assert urlsplit(scanned).path == f"/L/{code}/{draft.guide.number}.1.EN"
    _read_on_a_phone(browser, live_server.url, urlsplit(scanned).path, lot)

    publisher.go(act(lot, "recall"))
    publisher.page.fill("#id_recall_reason", "A screw is missing from the cooling tray.")
    _press(publisher)
    phone = Tab(browser.new_context().new_page(), live_server.url)
    phone.go(f"/L/{code.lower()}")
    assert "Don't grind it" in phone.page.inner_text("main")
    assert "A screw is missing" in phone.page.inner_text("main")
    assert roaster.quiet(), roaster
    assert publisher.quiet(), publisher


def _enter_lot(tab: Tab, draft: GuideVersion) -> Lot:
    tab.go(add(Lot))
    for name, value in {"name": "RW-091", "green_kg": "12", "loss_percent": "13.6", "qc_kg": "0.3"}.items():
        tab.page.fill(f"#id_{name}", value)
    tab.page.select_option("#id_coffee", value=str(draft.guide.coffee_id))
    tab.page.fill("#id_roasted_on", (timezone.localdate() - timezone.timedelta(days=12)).isoformat())
    tab.page.click("[name=_continue]")
    assert "40 × 250 g" in tab.page.inner_text("#content")  # floor((12 × 0.864 − 0.3) / 0.25)
    return Lot.objects.get()


def _log_check_brew(tab: Tab, lot: Lot, version: GuideVersion) -> None:
    tab.go(add(TrialBrew))
    for name, row in (("lot", lot), ("version", version), ("brewer", version.brewer)):
        tab.page.select_option(f"#id_{name}", value=str(row.pk))
    tab.page.check("#id_is_check_brew")
    measured = {"dose_g": "15", "water_g": "180", "bypass_g": "60", "kettle_c": "92", "grind_um": "740"}
    for name, value in {**measured, "drained_s": "2:56"}.items():
        tab.page.fill(f"#id_{name}", value)
    tab.page.click("[name=_save]")
    assert TrialBrew.objects.get().drained_s == 176


def _print_insert(tab: Tab) -> bytes:
    button = tab.page.get_by_role("link", name="Print insert, English")
    answer = tab.page.request.get(tab.home + button.get_attribute("href"))
    assert answer.headers["content-type"] == "application/pdf"
    return answer.body()


def _read_on_a_phone(browser, home: str, path: str, lot: Lot) -> None:
    phone = Tab(browser.new_context(viewport={"width": 360, "height": 740}).new_page(), home)
    phone.go(path)
    text = " ".join(phone.page.inner_text("main").split())
    for words in ("Rope Walk in the Tidegate S", lot.name, "Day 12 since roasting", "15 g", "1:16", "1:15"):
        assert words in text, words
    assert phone.overflow() <= 0
    assert phone.quiet(), phone
    assert phone.page.context.cookies() == []
    assert phone.axe() == []
