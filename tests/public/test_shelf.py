"""The coffees on sale, a page at a time, and finding one; what it costs does not grow with the roastery."""

from __future__ import annotations

import re

import pytest

from guides.models import Coffee
from guides.public.shelf import PER_PAGE
from guides.queries.catalogue import GUIDES_BESIDE
from tests.factories import CoffeeFactory
from tests.factories.busy import busy_site
from tests.queries.reading import reading

from . import world

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def house():
    return world.roastery()


def coffees_on(text: str) -> list[str]:
    return re.findall(r'<h2><a href="/en/coffees/([^"/]+)/">', text)


def link(text: str, rel: str) -> str:
    return next(iter(re.findall(rf'<a [^>]*rel="{rel}" href="([^"]+)"', text)), "")


def walked(client, start: str, rel: str) -> list[tuple[str, str]]:
    """Addresses and pages from a start, following links."""
    pages = []
    while start:
        pages.append((start, client.get(start).text))
        start = link(pages[-1][1], rel)
    return pages


def test_every_coffee_on_sale_is_reached_by_following_links_once(client):
    busy_site(0, 60, coffees=60)
    Coffee.objects.filter(code="C7").update(is_current=False)
    CoffeeFactory()  # without a guide
    pages = walked(client, "/en/", "next")
    expected = Coffee.objects.filter(guides__isnull=False, is_current=True).order_by("name")
    assert [slug for _address, text in pages for slug in coffees_on(text)] == [coffee.slug for coffee in expected]
    assert [address for address, _text in pages] == ["/en/", *(f"/en/page/{number}/" for number in range(2, 7))]
    assert all(len(coffees_on(text)) <= PER_PAGE for _address, text in pages)
    last = pages[-1][0]
    assert [address for address, _text in walked(client, last, "prev")] == [address for address, _ in reversed(pages)]
    assert "Coffees 51–59 of 59" in pages[-1][1]


def test_a_page_names_itself_in_every_language_and_is_asked_for_every_time(client):
    busy_site(0, PER_PAGE + 1, coffees=PER_PAGE + 1)
    answer = client.get("/sv/page/2/?dose=20")
    assert re.findall(r'rel="canonical" href="([^"]+)"', answer.text) == ["http://guides.test/sv/page/2/"]
    assert 'hreflang="fi" href="http://guides.test/fi/page/2/"' in answer.text
    # So no change has to name these pages among those to purge.
    assert answer.headers["Cache-Control"] == "no-cache"
    assert client.get("/sv/page/2/", headers={"If-None-Match": client.get("/sv/page/2/")["ETag"]}).status_code == 304


def test_there_is_no_page_without_coffees_and_the_first_has_one_address(client):
    busy_site(0, PER_PAGE + 1, coffees=PER_PAGE + 1)
    for number in ("0", "1", "3", "9999", "99999", "x"):
        assert client.get(f"/en/page/{number}/").status_code == 404
    assert client.get("/en/page/2/").status_code == 200


def test_a_small_shop_is_not_bothered_with_pages(client):
    world.coffee_with_guide()
    text = client.get("/en/").text
    assert 'class="pages"' not in text
    assert "/en/find/" not in text


def test_a_coffee_with_many_guides_shows_the_first_and_leads_to_the_rest(client):
    versions = busy_site(0, GUIDES_BESIDE + 2, coffees=1)
    text = client.get("/en/").text
    shown = re.findall(r'href="/en/guides/([^"/]+)/"', text)
    assert shown == [version.guide.slug for version in versions[:GUIDES_BESIDE]]
    slug = versions[0].guide.coffee.slug
    assert re.search(rf'href="/en/coffees/{slug}/">2 more guides for ', text)
    assert all(f"/en/guides/{version.guide.slug}/" in client.get(f"/en/coffees/{slug}/").text for version in versions)


@pytest.mark.data
def test_pages_cost_no_more_for_sixty_coffees_than_for_twelve(client):
    cost, made = [], 0
    for wanted in (12, 60):
        busy_site(0, 2 * (wanted - made), coffees=wanted - made)
        made = wanted
        for address in ("/en/", "/en/new.xml", "/en/find/?coffee=e", "/sitemap.xml"):
            with reading() as read:
                assert client.get(address).status_code == 200
            cost.append((address, read.queries, read.rows["Coffee"], read.rows["GuideVersion"], read.rows["Step"]))
    assert cost[: len(cost) // 2] == cost[len(cost) // 2 :]


@pytest.mark.data
@pytest.mark.parametrize(
    ("wish", "finds"),
    [
        ("walk", ["Rope Walk"]), ("ROPE  costa", ["Rope Walk"]), ("ärla", ["Ärlans Vak"]), ("ÄRLA", ["Ärlans Vak"]),
        ("rw", ["Rope Walk"]), ("100 %", ["Keel 100 %"]), (".*", []), ("%", ["Keel 100 %"]), ("\0", []), ("(", []),
        ("", []), ("draft", []), ("a" * 500, []),
    ],
)  # fmt: skip
def test_a_coffee_is_found_by_any_part_of_its_names(client, wish, finds):
    for code, name, origin in (("RW", "Rope Walk", "Costa Rica"), ("AV", "Ärlans Vak", ""), ("WK", "Keel 100 %", "")):
        world.published(guide=world.GuideFactory(coffee=CoffeeFactory(code=code, name=name, origin=origin)))
    CoffeeFactory(name="Draft alone")
    answer = client.get("/en/find/", {"coffee": wish})
    assert answer.status_code == 200
    assert answer.headers["X-Robots-Tag"] == "noindex"
    expected = [coffee.slug for coffee in Coffee.objects.filter(name__in=finds)]
    assert coffees_on(answer.text) == expected


def test_who_finds_too_many_is_told(client):
    busy_site(0, PER_PAGE + 1, coffees=PER_PAGE + 1)
    text = client.get("/en/find/?coffee=c").text
    assert len(coffees_on(text)) == PER_PAGE
    assert "There are more of them." in text


def test_what_was_looked_for_stays_in_the_field_and_brings_no_markup(client):
    text = client.get("/en/find/", {"coffee": '"><b onclick=alert(1)>'}).text
    assert "<b onclick" not in text
    assert 'value="&quot;&gt;&lt;b onclick=alert(1)&gt;"' in text
