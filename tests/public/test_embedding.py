"""A guide on another site's page: the card alone may be framed, and oEmbed speaks of our guides alone.

Outside sources: oEmbed 1.0, oembed.com (required members by type, maxwidth and maxheight, 404 and 501); CSP Level 3 and
RFC 7034 for framing.
"""

from __future__ import annotations

import re
from html.parser import HTMLParser
from urllib.parse import urlsplit

import pytest
from django.urls import reverse

from guides.lifecycle import withdraw
from guides.models import Guide
from tests.admin.addresses import change
from tests.admin.conftest import at_desk  # noqa: F401 - a fixture
from tests.factories import GuideVersionFactory

from . import world

pytestmark = pytest.mark.django_db
SITE = "http://guides.test"


@pytest.fixture
def slug() -> str:
    world.roastery()
    return world.coffee_with_guide().guide.slug


def described(client, url: str, status: int = 200, **asked: object) -> dict:
    answer = client.get("/oembed", {"url": url, **asked})
    assert answer.status_code == status
    assert answer.headers["Access-Control-Allow-Origin"] == "*"
    return answer.json()


def policy(answer) -> dict[str, list[str]]:
    parts = (part.split() for part in answer.headers["Content-Security-Policy"].split(";"))
    return {name: values for name, *values in parts}


def test_the_card_may_be_framed_and_nothing_else(client, slug):
    for _time in range(2):
        card = client.get(f"/sv/guides/{slug}/card/")
        assert card.status_code == 200
        assert policy(card)["frame-ancestors"] == ["*"]
        assert "X-Frame-Options" not in card.headers
        assert card.headers["Cross-Origin-Resource-Policy"] == "cross-origin"
        assert policy(card)["default-src"] == ["'none'"]
        assert "Set-Cookie" not in card.headers
    page = client.get(f"/sv/guides/{slug}/")
    assert policy(page)["frame-ancestors"] == ["'none'"]
    assert page.headers["X-Frame-Options"] == "DENY"
    assert "<script" not in card.text
    assert f'href="{SITE}/sv/guides/{slug}/" target="_blank" rel="noopener"' in card.text


def test_a_card_of_a_withdrawn_guide_says_so(client, slug):
    version = Guide.objects.get(slug=slug).versions.get()
    withdraw.withdraw(version, by=world.boss(), reason="Too hot.")
    text = client.get(f"/en/guides/{slug}/card/").text
    assert "Don&#x27;t brew from this guide any more." in text or "Don't brew from this guide any more." in text
    assert "Too hot." in text
    assert 'class="short"' not in text


def test_a_draft_has_no_card_and_no_description(client, slug):
    draft = GuideVersionFactory(title="Secret title")
    assert client.get(f"/en/guides/{draft.guide.slug}/card/").status_code == 404
    told = described(client, f"{SITE}/en/guides/{draft.guide.slug}/", 404)
    assert told == described(client, f"{SITE}/en/guides/nothing/", 404)


class _Frame(HTMLParser):
    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))


def test_oembed_describes_a_guide_in_the_language_of_its_address(client, slug):
    told = described(client, f"{SITE}/fi/guides/{slug}/?dose=20#step-2", format="json")
    assert {"type": "rich", "version": "1.0", "width": 480, "height": 640}.items() <= told.items()
    ((tag, frame),) = _Frame(told["html"]).tags
    assert tag == "iframe"
    assert frame["src"] == f"{SITE}/fi/guides/{slug}/card/"
    assert client.get(urlsplit(frame["src"]).path).status_code == 200
    assert (told["thumbnail_width"], told["thumbnail_height"]) == (1200, 630)
    assert client.get(urlsplit(told["thumbnail_url"]).path).headers["Content-Type"] == "image/png"


def test_sizes_asked_for_are_kept_to(client, slug):
    told = described(client, f"{SITE}/en/guides/{slug}/", maxwidth=300, maxheight=4000)
    assert (told["width"], told["height"]) == (300, 640)
    assert 'width="300" height="640"' in told["html"]
    assert "thumbnail_url" not in told


@pytest.mark.parametrize("size", ["0", "-1", "12.5", "many", "²", "1e9", "99999999999"])
def test_a_size_that_is_none_is_refused(client, slug, size):
    described(client, f"{SITE}/en/guides/{slug}/", 400, maxwidth=size)


@pytest.mark.parametrize(
    "url",
    [
        "", "nonsense", "{path}", "https://evil.example{path}", "http://guides.test.evil.example{path}",
        "http://guides.test@evil.example{path}", "//guides.test{path}", "https://guides.test{path}", "javascript:x",
        "http://guides.test/en/", "http://guides.test/sv/coffees/x/", "http://guides.test/L/ABC",
        "http://guides.test/admin/",
        "http://guides.test/de{tail}", "http://guides.test/en/guides/\x00/", "http://guides.test//evil.example",
    ],
)  # fmt: skip
def test_other_addresses_are_not_found(client, slug, url):
    tail = f"/guides/{slug}/"
    described(client, url.format(path=f"/en{tail}", tail=tail), 404)


def test_only_json_is_answered(client, slug):
    described(client, f"{SITE}/en/guides/{slug}/", 501, format="xml")


def test_a_title_cannot_break_out_of_the_frame(client):
    world.roastery()
    version = world.coffee_with_guide(title='"><script>alert(1)</script>')
    told = described(client, f"{SITE}/en/guides/{version.guide.slug}/")
    assert [tag for tag, _attributes in _Frame(told["html"]).tags] == ["iframe"]
    assert "<script>alert" not in client.get(f"/en/guides/{version.guide.slug}/card/").text


def test_a_page_says_where_it_is_described(client, slug):
    text = client.get(f"/en/guides/{slug}/").text
    found = re.search(r'<link rel="alternate" type="application/json\+oembed" href="([^"]+)"', text)[1]
    address = urlsplit(found.replace("&amp;", "&"))
    assert client.get(f"{address.path}?{address.query}").json()["title"] in text
    assert "json+oembed" not in client.get(f"/en/guides/{slug}/?dose=20").text


def test_the_desk_has_it_ready_to_copy(client, slug, at_desk):  # noqa: F811
    guide = Guide.objects.get(slug=slug)
    shown = at_desk(role="shop").get(change(guide)).content.decode()
    assert shown.count("&lt;iframe src=") == 3
    draft = GuideVersionFactory()
    assert "&lt;iframe" not in at_desk(role="shop").get(change(draft.guide)).content.decode()
    assert reverse("guide_card", args=[slug]) in shown
