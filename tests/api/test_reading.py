"""What shops read: everything published in few calls, nothing else in any."""

from __future__ import annotations

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext

from guides.lifecycle import recall, withdraw
from guides.lifecycle.assign import hold
from guides.lifecycle.draft import open_next
from guides.models import Assignment, VersionText
from guides.presenters import guide_sheet
from tests.factories import GuideFactory, GuideVersionFactory, LotFactory
from tests.factories.busy import busy_site
from tests.public import world

from .conftest import API, GTIN, Sold

pytestmark = pytest.mark.django_db


def read(client, address: str, status: int = 200, **query: object) -> dict:
    answer = client.get(address if address.startswith("http") else API + address, query)
    assert answer.status_code == status, answer.content
    return answer.json()


def everything(client, address: str, **query: object) -> list[dict]:
    """All parts of a list."""
    part = read(client, address, **query)
    found = part["items"]
    while part["next"]:
        part = read(client, part["next"])
        found += part["items"]
    return found


def test_the_index_leads_to_everything_that_stands_alone(client, sold: Sold) -> None:
    told = read(client, "/")
    needing_a_token = {told.pop("webhooks")}
    for address in [*told.pop("pages").values(), *told.values()]:
        assert client.get(address).status_code == 200, address
    assert [client.get(address).status_code for address in needing_a_token] == [401]
    # Everything that is described without a name in its path is there, and the description itself.
    described = {path for path in read(client, "/openapi.json")["paths"] if "{" not in path} - {f"{API}/"}
    found = {address.removeprefix("http://guides.test") for address in (*told.values(), *needing_a_token)}
    assert found == described | {f"{API}/openapi.json"}


def test_one_call_gives_a_shop_all_of_a_coffee(client, sold: Sold) -> None:
    coffee = read(client, f"/coffees/{sold.lot.coffee.pk}", language="sv")
    assert (coffee["name"], coffee["gtin"], coffee["languages"]) == (sold.lot.coffee.name, GTIN, ["en", "sv", "fi"])
    assert coffee["picture"]["alt"] == "A bag on a quay."
    assert coffee["picture"]["src"].startswith("http://guides.test/pictures/")
    (lot,) = coffee["lots"]
    assert (lot["name"], lot["page"]) == (sold.lot.name, f"http://guides.test/L/{sold.code}")
    assert lot["guides"][0]["number"] == sold.version.guide.number
    (guide,), (sheet,) = coffee["guides"], coffee["sheets"]
    assert guide["title"] == sheet["title"] == sold.version.title
    assert (sheet["language"], len(sheet["steps"])) == ("sv", 5)
    assert guide["pages"]["sv"] == f"http://guides.test/sv/guides/{sold.version.guide.slug}/"


def test_the_sheet_is_the_very_one_the_page_renders(client, sold: Sold) -> None:
    from django.utils import timezone

    told = read(client, f"/guides/{sold.version.guide.number}/sheet", language="fi", lot=sold.lot.name.lower())
    page = guide_sheet.build(sold.version, lot=sold.lot, language="fi", today=timezone.localdate())
    assert [step["act"] for step in told["steps"]] == [step.act for step in page.steps]
    assert [fact["value"] for fact in told["ingredients"]] == [fact.value for fact in page.ingredients]
    assert told["lot"]["freshness"] == page.lot.freshness
    assert told["plan_drawing"] == page.plan_drawing
    assert set(told) == set(guide_sheet.GuideSheet.__dataclass_fields__)


def test_a_sheet_is_made_the_readers_own_by_the_parameters_of_the_page(client, sold: Sold) -> None:
    told = read(client, f"/guides/{sold.version.guide.number}/sheet", dose="20")
    assert told["adapted"]["query"] == "dose=20"
    assert told["ingredients"][0]["mass_g"] == [20.0, 20.0]
    # 264 g for 16 g is 1 : 16.5, and so 330 g for 20 g.
    assert told["steps"][3]["target_g"] == pytest.approx(330)
    page = client.get(f"/en/guides/{sold.version.guide.slug}/?dose=20").text
    assert told["steps"][3]["target"] in page


def test_a_wish_that_cannot_be_met_names_its_field_in_the_readers_language(client, sold: Sold) -> None:
    address = f"/guides/{sold.version.guide.number}/sheet"
    told = read(client, address, 400, dose="lots", language="sv")
    assert [(error["field"], error["code"]) for error in told["errors"]] == [("dose", "not_a_number")]
    assert "siffror" in told["errors"][0]["detail"]
    assert read(client, address, 400, dose="20", bag="100")["errors"][0]["code"] == "two_sizes"


def test_with_a_lot_a_sheet_is_the_revision_its_bags_show(client, sold: Sold) -> None:
    row = world.assignment(sold.lot)
    row.follow, row.pinned = "pinned", sold.version
    row.save()
    world.next_revision(sold.version, kettle_c="96.0")
    address = f"/guides/{sold.version.guide.number}/sheet"
    assert read(client, address)["revision"] == 2
    assert read(client, address, lot=sold.lot.name)["revision"] == 1
    row.follow, row.pinned = "newest", None
    row.save()
    hold(Assignment.objects.get(pk=row.pk), by=world.boss(), reason="Drains late.")
    read(client, address, 404, lot=sold.lot.name)


def test_nothing_unpublished_is_told(client, sold: Sold) -> None:
    secret = GuideVersionFactory(title="Secret title")
    hidden, _code = world.bag(coffee=sold.lot.coffee, is_public=False)
    of_secret = LotFactory(coffee=secret.guide.coffee)
    opened = open_next(sold.version.guide, by=world.boss())
    opened.title = "Secret title"
    opened.save()
    unknown = [
        f"/coffees/{secret.guide.coffee.pk}", "/coffees/999999", f"/guides/{secret.guide.number}", "/guides/65000",
        f"/guides/{secret.guide.number}/sheet", f"/guides/{sold.version.guide.number}/versions/2",
        f"/guides/{sold.version.guide.number}/versions/2/sheet", f"/lots/{hidden.name}", f"/lots/{of_secret.name}",
        "/lots/NEVER-1", "/lots/%00", f"/guides/{sold.version.guide.number}/sheet?lot={hidden.name}",
        "/guides/99999999999999999999", "/coffees/99999999999999999999",
    ]  # fmt: skip
    answers = {client.get(API + address).content for address in unknown}
    assert len(answers) == 1, "what is not published must answer like what is not there"
    for address in ("/coffees", "/lots", "/guides", "/changes", f"/guides/{sold.version.guide.number}/versions"):
        text = client.get(API + address).content.decode()
        assert not any(word in text for word in ("Secret", hidden.name, of_secret.name)), address


def test_a_withdrawn_guide_says_so_and_what_to_use(client, sold: Sold) -> None:
    other = world.published(guide=GuideFactory(coffee=sold.lot.coffee))
    withdraw.withdraw(sold.version, by=world.boss(), reason="Too hot.", replacement=other.guide)
    told = read(client, f"/guides/{sold.version.guide.number}")
    assert (told["state"], told["withdrawn"]["reason"]) == ("withdrawn", "Too hot.")
    assert told["withdrawn"]["instead"] == other.guide.number
    assert read(client, f"/guides/{sold.version.guide.number}/sheet", dose="20")["withdrawn"] == "Too hot."
    (coffee,) = everything(client, "/coffees")
    assert [guide["number"] for guide in coffee["guides"]] == [other.guide.number]


def test_a_recalled_lot_stays_in_the_list_with_why(client, sold: Sold) -> None:
    recall.recall(sold.lot, by=world.boss(), reason="A screw may be in it.")
    (lot,) = everything(client, "/lots", coffee=sold.lot.coffee.pk)
    assert lot["recalled"]["reason"] == "A screw may be in it."


def test_words_come_in_the_language_asked_for_and_say_where_they_do_not(client, sold: Sold) -> None:
    opened = open_next(sold.version.guide, by=world.boss())
    VersionText.objects.create(version=opened, language="sv", title="Outer Mark i Mast")
    world.published(opened)
    address = f"/guides/{sold.version.guide.number}"
    assert read(client, address, language="sv")["title"] == "Outer Mark i Mast"
    finnish = read(client, address, language="fi")
    assert (finnish["title"], finnish["words_language"]) == (sold.version.title, "en")
    assert finnish["languages"] == ["en", "sv"]


def test_changes_come_once_each_in_order_from_where_a_shop_left_off(client, sold: Sold) -> None:
    first = read(client, "/changes")
    assert [change["type"] for change in first["items"]] == ["guide.published"]
    newer = world.next_revision(sold.version, kettle_c="96.0")
    withdraw.withdraw(newer, by=world.boss(), reason="Too hot.")
    hidden, _code = world.bag(coffee=sold.lot.coffee, is_public=False)
    for lot in (hidden, sold.lot):
        recall.recall(lot, by=world.boss(), reason="A screw may be in it.")
    second = read(client, "/changes", cursor=first["cursor"], limit=2)
    third = read(client, "/changes", cursor=second["cursor"])
    told = [(change["type"], change["revision"], change["lot"], change["reason"]) for change in
            second["items"] + third["items"]]  # fmt: skip
    assert told == [
        ("guide.published", 2, None, ""),
        ("guide.withdrawn", 2, None, "Too hot."),
        ("lot.recalled", None, sold.lot.name, "A screw may be in it."),
    ]
    last = read(client, "/changes", cursor=third["cursor"])
    assert (last["items"], last["cursor"], last["next"]) == ([], third["cursor"], None)


@pytest.mark.data
@time_machine.travel("2026-05-04T12:00:00Z", tick=False)  # the first of each minute is counted in a row of its own
def test_a_list_of_a_thousand_guides_costs_as_many_queries_a_part_as_one_of_ten(client, db) -> None:
    world.roastery()
    costs = {}
    for wanted, more in ((10, 10), (1000, 990)):
        busy_site(40, more, coffees=20)
        client.get(f"{API}/roastery")
        seen, counts, address = set(), set(), f"{API}/guides?limit=100"
        while address:
            with CaptureQueriesContext(connection) as captured:
                part = client.get(address).json()
            seen |= {guide["number"] for guide in part["items"]}
            counts.add(len(captured))
            address = part["next"]
        assert len(seen) == wanted
        costs[wanted] = counts
    print(f"queries for each part of a list of guides: {costs}")
    assert costs[10] == costs[1000]
    assert len(costs[1000]) == 1


@pytest.mark.parametrize("address", ["/coffees", "/lots", "/guides/5001/versions", "/changes"])
def test_other_lists_cost_no_more_when_they_grow(client, db, address) -> None:
    world.roastery()
    counts = []
    for more in (2, 40):
        busy_site(more, more, coffees=more)
        client.get(f"{API}/roastery")
        with CaptureQueriesContext(connection) as captured:
            assert client.get(API + address).status_code == 200
        counts.append(len(captured))
    assert counts[0] == counts[1], counts
