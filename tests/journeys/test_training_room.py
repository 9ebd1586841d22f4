"""A café trainer in a real Chromium: a wall sheet for a mountain town in three clicks, a screen, who is signed off."""

from __future__ import annotations

from urllib.parse import urlsplit

import pytest

from guides.lifecycle.draft import open_next
from guides.models import Roastery, SignOff
from tests.browser import Tab
from tests.documents.printing import decoded_by_zxing, printed
from tests.documents.test_every_format import words
from tests.factories import GrinderFactory, GuideVersionFactory, SiteFactory, TraineeFactory, UserFactory, published

from .people import at_work, looks_right

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_from_the_start_of_the_desk_to_the_wall_and_the_list(browser, live_server):
    Roastery.objects.create(
        name="Mossgull Roasting Room", languages=["en", "sv"], tap_hardness_mg_l=38, tap_alkalinity_mg_l=30
    )
    guide = published(GuideVersionFactory(kettle_c=97, title="Outer Mark in the Mast cone")).guide
    site = SiteFactory(name="Three Larches training room", grinder=GrinderFactory(slug="harrow"))
    site.guides.add(guide)
    for name in ("Brisa", "Mirel"):
        TraineeFactory(site=site, name=name)
    trainer = at_work(browser, live_server.url, "roaster")

    clicks = 0
    for link in ("Sites", "Three Larches training room"):
        trainer.page.locator("#content").get_by_role("link", name=link, exact=True).first.click()
        clicks += 1
    looks_right(trainer)
    button = trainer.page.get_by_role("link", name="Wall sheet, English")
    pdf = trainer.page.request.get(trainer.home + button.get_attribute("href")).body()
    assert clicks + 1 <= 3
    assert "Kettle: 97 °C → 94 °C" in words(pdf)
    assert "alkalinity 190 mg/L" in words(pdf)

    (scanned,) = decoded_by_zxing(printed(pdf, page=1))
    phone = Tab(browser.new_context(viewport={"width": 360, "height": 740}).new_page(), live_server.url)
    phone.go(urlsplit(scanned).path)
    looks_right(phone)
    assert "94 °C" in phone.page.inner_text("main").replace("\N{NO-BREAK SPACE}", " ")

    screen = trainer.page.get_by_role("link", name="On a large screen").get_attribute("href")
    wall = Tab(browser.new_context(viewport={"width": 1920, "height": 1080}).new_page(), live_server.url)
    wall.go(screen)
    looks_right(wall)
    table = wall.page.locator(".screen-steps").bounding_box()
    assert table["y"] + table["height"] <= 1080  # nothing to scroll for while brewing
    wall.resize(360)
    assert wall.overflow() <= 0

    _sign_off(trainer, "Brisa", "Mirel")
    assert SignOff.objects.count() == 2
    coarser = open_next(guide, by=UserFactory(role="roaster"))
    coarser.grind_um += 40
    coarser.save()
    published(coarser)
    trainer.resize(360, 740)
    trainer.go("/admin/")
    waiting = trainer.page.get_by_role(
        "link", name="Outer Mark in the Mast cone (revision 2), Three Larches training room"
    )
    assert "again: Brisa, Mirel" in trainer.page.locator("li", has=waiting).inner_text()
    waiting.click()
    looks_right(trainer)
    trainer.page.get_by_label("Brisa, again").check()
    trainer.page.click("#content [type=submit]")
    trainer.page.wait_for_url("**/change/")
    looks_right(trainer)
    listed = " ".join(trainer.page.locator(".signed").inner_text().split())
    assert "Brisa: signed off for revision 2" in listed
    assert "Mirel: again for revision 1" in listed
    trainer.page.click("text=what has changed")
    assert "Grind" in trainer.page.inner_text("#content")


def _sign_off(tab: Tab, *names: str) -> None:
    tab.page.get_by_role("link", name="Sign trainees off").click()
    looks_right(tab)
    for name in names:
        tab.page.get_by_label(name).check()
    tab.page.click("#content [type=submit]")
    tab.page.wait_for_url("**/change/")
