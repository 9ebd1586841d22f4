"""What the code on a wall sheet leads to, and the guide on a large screen."""

from __future__ import annotations

import pytest

from guides.codes import short_code
from guides.presenters import sites
from guides.queries import versions
from tests.factories import GrinderFactory, GuideVersionFactory, SiteFactory

from . import world

pytestmark = pytest.mark.django_db


@pytest.fixture
def guide():
    world.roastery()
    return world.coffee_with_guide(kettle_c=97).guide


@pytest.mark.parametrize("form", ["/S/{}/{}.1.EN", "/s/{}/{}.1.en", "/S/{}/{}.1.EN/"])
def test_a_sheet_leads_to_the_guide_as_its_site_is_today(client, guide, form):
    site = SiteFactory(grinder=GrinderFactory(slug="harrow"))
    answer = client.get(form.format(site.code, guide.number))
    query = "grinder=harrow&altitude=1480&hardness=210&alkalinity=190"
    assert answer.headers["Location"] == f"/en/guides/{guide.slug}/?{query}"
    assert "no-cache" in answer.headers["Cache-Control"]
    site.tap_alkalinity_mg_l = 60
    site.save()
    assert "alkalinity=60" in client.get(form.format(site.code, guide.number)).headers["Location"]


def test_a_language_the_site_does_not_speak_falls_back(client, guide):
    answer = client.get(f"/S/{SiteFactory().code}/{guide.number}.1.XX")
    assert answer.headers["Location"].startswith("/en/")


def test_what_is_not_known_is_not_found(client, guide):
    code = SiteFactory().code
    for path in (f"/S/{short_code.new()}/{guide.number}.1.EN", f"/S/{code}/x", "/S/AAAA/1.1.EN"):
        assert client.get(path).status_code == 404


def test_a_sheet_whose_guide_is_not_here_says_so_and_what_else_is_taught(client, guide, text_of_page):
    """As after an older backup was restored. A draft's number answers no differently from one that never was."""
    site, draft = SiteFactory(), GuideVersionFactory(title="Not yet told")
    site.guides.add(guide)
    answers = [client.get(f"/S/{site.code}/{number}.3.SV") for number in (999, draft.guide.number)]
    assert [answer.status_code for answer in answers] == [200, 200]
    assert answers[0].headers["X-Robots-Tag"] == "noindex"
    for answer in answers:
        assert "Koden är rätt" in text_of_page(answer)
        assert versions.current(guide).title in text_of_page(answer)
        assert draft.title not in text_of_page(answer)


def test_the_large_screen_shows_what_the_site_needs(client, guide, text_of_page):
    answer = client.get(sites.guide_href(SiteFactory(), versions.current(guide), "en", "screen"))
    text = text_of_page(answer)
    assert "Kettle: 97 °C → 94 °C" in text
    assert "Scale shows" in text
    assert answer.headers["X-Robots-Tag"] == "noindex"
    assert not answer.cookies


def test_a_wish_that_cannot_be_kept_goes_to_the_page_that_says_why(client, guide):
    answer = client.get(f"/en/guides/{guide.slug}/screen/?altitude=99999")
    assert answer.headers["Location"] == f"/en/guides/{guide.slug}/?altitude=99999"


@pytest.fixture
def text_of_page():
    from html.parser import HTMLParser

    class Words(HTMLParser):
        def __init__(self) -> None:
            super().__init__()
            self.words: list[str] = []

        def handle_data(self, data: str) -> None:
            self.words.append(data)

    def read(response) -> str:
        words = Words()
        words.feed(response.content.decode())
        return " ".join(" ".join(words.words).replace("\N{NO-BREAK SPACE}", " ").split())

    return read
