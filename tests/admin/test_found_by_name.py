"""Pages that offer what is new and find the rest by a part of its name, as costly on a grown site as on a small one."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from guides.models import Lot, Site, TrialBrew
from guides.queries import begin_from, sites
from tests.factories import BrewerFactory, LotFactory, SiteFactory, TrialBrewFactory, UserFactory, published
from tests.factories.busy import busy_site, know_sizes

from .addresses import change

pytestmark = [pytest.mark.django_db, pytest.mark.data]
PLAN = "/admin/guides/trialbrew/plan/"
MANY = 12


def cost(desk, address: str) -> tuple[int, int]:
    """Queries, and things to tap on the page."""
    desk.get(address)
    with CaptureQueriesContext(connection) as captured:
        page = desk.get(address).content
    return len(captured), page.count(b"<li") + page.count(b"<p")


def test_a_trial_begins_from_the_coffees_roasted_last(at_desk, monkeypatch):
    monkeypatch.setattr(begin_from, "MOST_COFFEES", 3)
    busy_site(MANY, MANY, coffees=MANY)
    desk = at_desk()
    before, shown = cost(desk, PLAN), desk.get(PLAN).context
    assert [coffee.lot for coffee in shown["coffees"]] == ["L-00000", "L-00001", "L-00002"]
    assert shown["more"]
    busy_site(MANY, MANY, coffees=MANY)
    know_sizes()
    assert cost(desk, PLAN)[0] == before[0]
    assert len(desk.get(PLAN).context["coffees"]) == 3


def test_an_older_coffee_or_lot_is_found_and_the_trial_is_of_that_lot(at_desk, monkeypatch, text_of):
    monkeypatch.setattr(begin_from, "MOST_COFFEES", 3)
    (version, *_others) = busy_site(MANY, 4, coffees=4)
    brew, desk = TrialBrewFactory(of=version, lot=Lot.objects.get(name="L-00008")), at_desk()
    (found,) = desk.get(PLAN, {"find": " l-00008"}).context["coffees"]
    assert (found.coffee, found.lot) == (version.guide.coffee.name, "L-00008")
    assert str(brew.pk) in [source.asked[0][1] for source in found.brews]
    page = desk.get(PLAN + "?" + found.guides[0].query)
    assert page.context["form"]["lot"].value() == str(brew.lot.pk)
    assert len(desk.get(PLAN, {"find": "outer"}).context["coffees"]) == 3
    assert "More than these are called that" in text_of(desk.get(PLAN, {"find": "outer"}))
    for nothing in ("no such", "\0", "'); --"):
        assert desk.get(PLAN, {"find": nothing}).status_code == 200
    assert "Nothing is called “no such”" in text_of(desk.get(PLAN, {"find": "no such"}))


def test_the_planned_trial_takes_an_older_lot_of_its_coffee(at_desk, monkeypatch):
    monkeypatch.setattr("guides.admin.choosing.RowField.most", 2)
    (version,) = busy_site(5, 1, coffees=1)
    other, desk = LotFactory(), at_desk()
    asked = {"version": version.pk, "grind_um": "700"}
    assert "L-00004, " not in desk.get(PLAN, asked).content.decode()
    looked = desk.get(PLAN.replace("plan", "brew"), {**asked, "lot_find": "00004", "lot_look": "1"})
    assert "is found and chosen" in looked.content.decode(), "and nothing is brewed yet"
    assert 'value="700"' in looked.content.decode()
    planned = desk.get(PLAN, {**asked, "lot": Lot.objects.get(name="L-00004").pk})
    assert f"lot={Lot.objects.get(name='L-00004').pk}" in planned.context["log_href"]
    assert "Nothing is called" in desk.get(PLAN, {**asked, "lot_find": other.name, "lot_look": "1"}).content.decode()


def test_a_site_shows_what_is_taught_the_newest_others_and_finds_any(at_desk, monkeypatch, text_of):
    monkeypatch.setattr(sites, "MOST_OTHERS", 2)
    versions, site, desk = busy_site(1, 6, coffees=2), SiteFactory(), at_desk(UserFactory(role="publisher"))
    site.guides.add(versions[0].guide)
    before, shown = cost(desk, change(site)), desk.get(change(site)).context
    assert [sheet.title for sheet in shown["sheets"]] == [versions[0].title]
    assert len(shown["others"]) == 2
    assert shown["more"]
    busy_site(1, 6, coffees=2)
    assert cost(desk, change(site))[0] == before[0]
    found = desk.get(change(site), {"sheet": versions[1].title.lower()}).context["others"]
    assert [sheet.title for sheet in found] == [versions[1].title]
    assert "Nothing is called “no such”" in text_of(desk.get(change(site), {"sheet": "no such\0"}))
    assert Site.objects.get().guides.count() == 1


def test_a_wall_sheet_of_a_guide_that_is_not_taught_is_printed(at_desk):
    version, site = published(), SiteFactory()
    desk = at_desk(UserFactory(role="publisher"))
    address = desk.get(change(site)).context["others"][0].prints[0][1]
    assert desk.get(address).headers["Content-Type"] == "application/pdf"
    assert str(version.guide.number) in address


def delete(row) -> str:
    return change(row).replace("/change/", "/delete/")


def test_what_is_in_use_stays_and_says_how_much_needs_it(at_desk, text_of):
    (version,), boss = busy_site(3, 1, coffees=1), UserFactory(is_superuser=True)
    desk, brewer = at_desk(boss), version.brewer
    queries = cost(desk, delete(brewer))[0]
    TrialBrewFactory.create_batch(5, of=version, lot=Lot.objects.first(), brewed_by=boss)
    know_sizes()
    page = desk.get(delete(brewer))
    newest = TrialBrew.objects.order_by("-pk").first()
    assert f"“{brewer}” stays: what is listed here needs it." in text_of(page)
    assert f"Trial brews: 6, such as {newest}" in text_of(page)
    assert change(newest) in page.content.decode()
    assert page.content.count(str(newest.lot).encode()) == 3
    assert f"Guide versions: {version}" in text_of(page)
    assert cost(desk, delete(brewer))[0] <= queries + 2, "two more are named"
    assert desk.post(delete(brewer), {"post": "yes"}).status_code == 200
    brewer.refresh_from_db()


def test_what_nothing_needs_is_deleted_once_that_is_confirmed(at_desk, text_of):
    desk, brewer = at_desk(UserFactory(is_superuser=True)), BrewerFactory()
    assert "Are you sure" in text_of(desk.get(delete(brewer)))
    assert desk.post(delete(brewer), {"post": "yes"}).status_code == 302
    assert not type(brewer).objects.filter(pk=brewer.pk).exists()
