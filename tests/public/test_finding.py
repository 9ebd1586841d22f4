"""How others find the guides: site map, robots, feed, canonical and alternate addresses; and that no draft is in them.

Outside checks: feedparser reads the feed; an XML parser reads the site map by the names of sitemaps.org, protocol 0.9.
"""

from __future__ import annotations

import re
from xml.etree import ElementTree

import feedparser
import pytest

from guides.lifecycle import assign, draft, withdraw
from guides.models import Coffee
from guides.queries import found
from tests.factories import CoffeeFactory, GuideFactory, GuideVersionFactory, published
from tests.factories.busy import busy_site

from . import world

pytestmark = pytest.mark.django_db
NAMES = {"s": "http://www.sitemaps.org/schemas/sitemap/0.9", "x": "http://www.w3.org/1999/xhtml"}


@pytest.fixture(autouse=True)
def house():
    return world.roastery()


def read_xml(client, address: str) -> ElementTree.Element:
    response = client.get(address.removeprefix("http://guides.test"))
    assert response.headers["Content-Type"].startswith("application/xml")
    return ElementTree.fromstring(response.content)  # noqa: S314 - our own


def site_map(client) -> list[ElementTree.Element]:
    """Every address in every part that the map names, as a robot reads it."""
    index = read_xml(client, "/sitemap.xml")
    assert index.tag == f"{{{NAMES['s']}}}sitemapindex"
    parts = [part.text or "" for part in index.iterfind("s:sitemap/s:loc", NAMES)]
    return [url for part in parts for url in read_xml(client, part).iterfind("s:url", NAMES)]


def mapped(client) -> list[str]:
    return [url.findtext("s:loc", "", NAMES) for url in site_map(client)]


def told(client, language: str = "en") -> feedparser.FeedParserDict:
    response = client.get(f"/{language}/new.xml")
    assert response.headers["Content-Type"].startswith("application/atom+xml")
    feed = feedparser.parse(response.content)
    assert not feed.bozo, feed.get("bozo_exception")
    assert feed.version == "atom10"
    return feed


def test_the_site_map_lists_every_page_in_every_language(client):
    version = world.coffee_with_guide()
    urls = site_map(client)
    listed = [url.findtext("s:loc", "", NAMES) for url in urls]
    slugs = [
        "",
        "numbers/",
        "numbers/constants/",
        f"coffees/{version.guide.coffee.slug}/",
        f"guides/{version.guide.slug}/",
    ]
    assert sorted(listed) == sorted(f"http://guides.test/{code}/{slug}" for code in world.LANGUAGES for slug in slugs)
    for address in listed:
        assert client.get(address.removeprefix("http://guides.test")).status_code == 200
    for url in urls:
        alternates = [link.get("hreflang") for link in url.iterfind("x:link[@rel='alternate']", NAMES)]
        assert sorted(alternates) == sorted([*world.LANGUAGES, "x-default"])
    index = read_xml(client, "/sitemap.xml")
    days = [day.text for day in index.iterfind("s:sitemap/s:lastmod", NAMES)]
    assert len(days) == 3  # pages of every site, coffees, guides
    days += [day.text for url in urls for day in url.iterfind("s:lastmod", NAMES)]
    assert all(re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?\+\d\d:\d\d", day) for day in days)  # W3C datetime


def test_a_map_of_many_parts_holds_every_page_once_and_each_part_is_small(client):
    versions = busy_site(0, 2 * found.PART, coffees=found.PART + 1)
    expected = [f"http://guides.test/en/guides/{version.guide.slug}/" for version in versions]
    expected += [f"http://guides.test/en/coffees/{coffee.slug}/" for coffee in Coffee.objects.all()]
    listed = mapped(client)
    assert sorted(each for each in listed if re.search("/en/(guides|coffees)/", each)) == sorted(expected)
    parts = [part.text or "" for part in read_xml(client, "/sitemap.xml").iterfind("s:sitemap/s:loc", NAMES)]
    assert len(parts) >= 5
    for part in parts:
        assert len(read_xml(client, part).findall("s:url", NAMES)) <= found.PART * len(world.LANGUAGES)


def test_a_part_keeps_its_pages_when_others_go_and_is_gone_when_all_did(client):
    first, second = (
        world.published(guide=GuideFactory(number=number, coffee=CoffeeFactory())) for number in (found.PART - 1, 1)
    )
    assert len(read_xml(client, "/sitemap-guides-0.xml").findall("s:url", NAMES)) == 2 * len(world.LANGUAGES)
    for version in (first, second):
        withdraw.withdraw(version, by=world.boss(), reason="Too hot.")
    for address in ("/sitemap-guides-0.xml", "/sitemap-coffees-99999.xml", "/sitemap-pages-1.xml"):
        assert client.get(address).status_code == 404
    assert len(mapped(client)) == 3 * len(world.LANGUAGES)


def test_robots_are_shown_the_map_and_kept_from_the_desk(client):
    text = client.get("/robots.txt").text
    assert "Disallow: /admin/" in text
    assert "Sitemap: http://guides.test/sitemap.xml" in text


def test_bags_are_in_no_list(client):
    lot, code = world.bag()
    world.guide_for(lot)
    response = client.get(f"/L/{code}")
    assert response.headers["X-Robots-Tag"] == "noindex"
    assert code not in " ".join([*mapped(client), client.get("/en/new.xml").text])
    assert "X-Robots-Tag" not in client.get("/en/").headers


@pytest.mark.parametrize("language", world.LANGUAGES)
def test_every_page_names_its_own_address_and_those_in_other_languages(client, language):
    version = world.coffee_with_guide()
    for slug in ("", "numbers/", f"coffees/{version.guide.coffee.slug}/", f"guides/{version.guide.slug}/"):
        text = client.get(f"/{language}/{slug}?dose=20").text
        assert re.findall(r'rel="canonical" href="([^"]+)"', text) == [f"http://guides.test/{language}/{slug}"]
        links = dict(re.findall(r'rel="alternate" hreflang="([^"]+)" href="([^"]+)"', text))
        expected = {code: f"http://guides.test/{code}/{slug}" for code in world.LANGUAGES}
        assert links == {**expected, "x-default": expected["en"]}
        assert f'href="/{language}/new.xml"' in text


def test_changing_the_language_keeps_what_was_asked_for(client):
    lot, code = world.bag()
    version = world.guide_for(lot)
    text = client.get(f"/en/guides/{version.guide.slug}/?dose=20&grinder=7%22").text
    assert f'href="/sv/guides/{version.guide.slug}/?dose=20&amp;grinder=7%22"' in text
    text = client.get(f"/L/{code}?in=en&dose=20").text
    assert f'href="/L/{code}?in=fi&amp;dose=20"' in text


def test_the_feed_tells_of_the_newest_revision_of_each_guide_newest_first(client):
    first = world.coffee_with_guide(title="First", summary="Clear.")
    world.coffee_with_guide(title="Second")
    world.next_revision(first, title="First, revised")
    feed = told(client)
    assert [entry.title for entry in feed.entries] == ["First, revised", "Second"]
    entry = feed.entries[0]
    assert entry.link == f"http://guides.test/en/guides/{first.guide.slug}/"
    assert entry.id.startswith("tag:guides.test,")  # RFC 4151
    assert "Clear." in entry.summary
    # RFC 4287, 4.1.1: a feed has an id, a title, a time, an author, and its own address.
    assert feed.feed.title == "New brew guides"
    assert feed.feed.id
    assert feed.feed.updated
    assert feed.feed.author == "Mossgull Roasting Room"
    assert {link.rel: link.href for link in feed.feed.links} == {
        "self": "http://guides.test/en/new.xml",
        "alternate": "http://guides.test/en/",
    }


def test_the_feed_ends_with_the_newest_few(client):
    versions = busy_site(0, found.NEWEST + 5, coffees=1)
    newest = [f"Guide {version.guide.number}" for version in reversed(versions)][: found.NEWEST]
    assert [entry.title for entry in told(client).entries] == newest


def test_each_language_has_its_own_feed(client, house):
    world.coffee_with_guide()
    assert len({told(client, code).feed.title for code in world.LANGUAGES}) == 3
    house.languages = ["en"]
    house.save()
    assert client.get("/sv/new.xml").status_code == 404


def test_a_feed_that_has_not_changed_is_not_sent_again(client):
    world.coffee_with_guide()
    for address in ("/en/new.xml", "/sitemap.xml"):
        first = client.get(address)
        assert client.get(address, headers={"If-None-Match": first.headers["ETag"]}).status_code == 304


def test_what_was_withdrawn_leaves_every_list(client):
    version = world.coffee_with_guide(title="Gone")
    withdraw.withdraw(version, by=world.boss(), reason="Too hot.")
    assert told(client).entries == []
    assert not any(version.guide.slug in address for address in mapped(client))


SECRET = "Nobody may read this yet"


def everything(client, code: str) -> str:
    pages = [
        "/en/",
        "/sitemap.xml",
        "/sitemap-coffees-0.xml",
        "/sitemap-guides-0.xml",
        "/en/find/?coffee=a",
        "/en/new.xml",
        "/robots.txt",
        f"/L/{code}",
        "/en/guides/secret-guide/",
    ]
    text = " ".join(client.get(address, headers={"Accept-Language": "en"}).text for address in pages)
    return text + " ".join(mapped(client))


def test_no_draft_is_in_any_of_them_until_it_is_published(client):
    """Its own negative control: the same probe finds the same words once they are published."""
    lot, code = world.bag()
    shown = world.guide_for(lot, title="Shown")
    opened = draft.open_next(shown.guide, by=world.boss())
    opened.title = SECRET
    opened.save()
    new = GuideVersionFactory(guide=GuideFactory(coffee=lot.coffee, slug="secret-guide"), title=SECRET)
    assign.assign(lot, new.guide, by=world.boss())
    before = everything(client, code)
    assert SECRET not in before
    assert "secret-guide" not in before.replace("/en/guides/secret-guide/", "")
    published(new)
    after = everything(client, code)
    assert after.count(SECRET) >= 5
    assert any("secret-guide" in address for address in mapped(client))
