"""A draft as customers will read it, and only for staff."""

from __future__ import annotations

import io
from urllib.parse import urlsplit

import pytest
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from guides.codes import short_code
from guides.documents import read_back
from guides.documents.draft_insert import NO_CODE, draft_pdf
from guides.models import GuideVersion, Roastery, VersionText
from guides.presenters import addresses
from tests.factories import GuideVersionFactory, LotFactory, UserFactory, ValveVersionFactory

pytestmark = pytest.mark.django_db


def _frame(version: GuideVersion) -> str:
    return reverse("admin:guides_guideversion_preview", args=[version.pk])


def _address(version: GuideVersion, language: str = "en") -> str:
    return reverse("admin:guides_guideversion_preview_page", args=[version.pk, language])


def _insert(version: GuideVersion, language: str = "en") -> str:
    return reverse("admin:guides_guideversion_preview_insert", args=[version.pk, language])


def test_a_draft_is_shown_as_the_page_under_a_banner(at_desk, text_of):
    draft = ValveVersionFactory(why="Shut at first: every ground is soaked before anything runs off.")
    response = at_desk().get(_address(draft))
    page = text_of(response)
    assert response.status_code == 200
    assert "Preview: draft" in page
    for words in (draft.title, "Step by step", "every ground is soaked", "0:40–", "Scale shows"):
        assert words in page, words


def test_it_is_never_kept_by_a_cache(at_desk, draft):
    assert "no-store" in at_desk().get(_address(draft))["Cache-Control"]


def test_nobody_else_sees_it(draft):
    response = Client().get(_address(draft))
    assert response.status_code == 302
    assert draft.title not in response.content.decode()


def test_a_draft_with_a_number_no_brew_has_goes_back_with_the_reason(at_desk):
    draft = GuideVersionFactory(steps=({"start_s": 0, "end_s": 9000, "target_g": 264},))
    response = at_desk().get(_address(draft), follow=True)
    assert response.redirect_chain[0][1] == 302
    assert "Write a number in between" in response.content.decode()


def test_a_hostile_text_stays_text(at_desk):
    draft = GuideVersionFactory(title="<script>alert(1)</script>", why="<img src=x onerror=alert(1)> **strong**")
    page = at_desk().get(_address(draft)).content.decode()
    assert "<script>alert" not in page
    assert "onerror=alert" not in page.replace("&lt;img src=x onerror=alert(1)&gt;", "")


@pytest.fixture
def translated(db) -> GuideVersion:
    """A draft in English and Swedish at a roastery that speaks Finnish as well."""
    Roastery.objects.create(name="Mossgull Roasting Room", languages=["en", "sv", "fi"])
    draft = ValveVersionFactory()
    VersionText.objects.create(version=draft, language="sv", title="Rope Walk i Tidegate S")
    return draft


def test_the_page_comes_in_every_language_customers_have_it_in(at_desk, text_of, translated):
    desk = at_desk()
    for language in ("en", "sv", "fi"):
        frame = desk.get(_frame(translated) + f"?language={language}").content.decode()
        assert f'src="{_address(translated, language)}"' in frame
        assert (_insert(translated, language) in frame) == (language != "fi")
    assert "Rope Walk i Tidegate S" in text_of(desk.get(_address(translated, "sv")))
    assert translated.title in text_of(desk.get(_address(translated, "fi")))
    assert "Vaihe vaiheelta" in text_of(desk.get(_address(translated, "fi")))


@pytest.mark.parametrize("language", ["de", "xx", "en-GB"])
def test_other_languages_lead_nowhere(at_desk, translated, language):
    desk = at_desk()
    assert desk.get(_address(translated, language)).status_code == 404
    assert desk.get(_insert(translated, language)).status_code == 404
    assert f'src="{_address(translated)}"' in desk.get(_frame(translated) + f"?language={language}").content.decode()


def test_no_insert_in_a_language_without_words(at_desk, translated):
    response = at_desk().get(_insert(translated, "fi"), follow=True)
    assert response.redirect_chain[0][1] == 302
    assert "has no words in this language (fi)" in response.content.decode()


def test_a_published_version_has_no_draft_insert(at_desk, printed):
    """It would say of a real guide that it is not published."""
    desk = at_desk()
    assert _insert(printed) not in desk.get(_frame(printed)).content.decode()
    assert desk.get(_address(printed)).status_code == 200
    assert desk.get(_insert(printed)).status_code == 404
    with pytest.raises(ValueError, match="insert_pdf"):
        draft_pdf(printed, "en")


@pytest.mark.parametrize("language", ["en", "sv"])
def test_the_insert_says_that_it_is_a_draft_and_its_code_leads_nowhere(at_desk, client, translated, language):
    lot = LotFactory(coffee=translated.guide.coffee)
    response = at_desk().get(_insert(translated, language))
    assert (response.status_code, response["Content-Type"]) == (200, "application/pdf")
    assert "no-store" in response["Cache-Control"]
    words = "".join(page.extract_text() for page in PdfReader(io.BytesIO(response.content)).pages)
    assert ("DRAFT: not published" if language == "en" else "UTKAST: inte publicerat") in " ".join(words.split())
    assert lot.name in words
    (symbol,) = read_back.read(response.content).symbols
    assert addresses.read(symbol.text) is None
    scanned = urlsplit(symbol.text).path
    assert scanned == f"/L/{NO_CODE}/{translated.guide.number}.0.{language.upper()}"
    for path in (scanned, f"/L/{NO_CODE}", f"/L/{NO_CODE}/{translated.guide.number}.1.EN"):
        answer = client.get(path)
        assert answer.status_code == 404
        assert translated.title not in answer.content.decode()


def test_no_lot_can_ever_have_the_code_of_a_draft():
    assert not short_code.is_valid(NO_CODE)
    body = NO_CODE[:-1]
    assert short_code.is_valid(body + short_code.check_character(body))  # the control: it is the check that fails


def test_a_draft_of_a_coffee_without_a_lot_still_has_an_insert(at_desk, translated):
    response = at_desk().get(_insert(translated))
    assert (response.status_code, response["Content-Type"]) == (200, "application/pdf")


def test_only_our_own_frame_shows_the_page(at_desk, draft):
    response = at_desk().get(_address(draft))
    assert "frame-ancestors 'self'" in response["Content-Security-Policy"]
    assert response["X-Frame-Options"] == "SAMEORIGIN"
    frame = at_desk().get(_frame(draft))
    assert "frame-src 'self'" in frame["Content-Security-Policy"]
    assert "frame-ancestors 'none'" in frame["Content-Security-Policy"]


def test_from_outside_none_of_it_is_reached(translated):
    for address in (_frame(translated), _address(translated), _insert(translated)):
        for visitor in (None, UserFactory(role="publisher", is_staff=False)):
            client = Client()
            if visitor:
                client.force_login(visitor)
            answer = client.get(address)
            assert (answer.status_code, "/admin/login/" in answer.url) == (302, True)
    customers = Client()
    for path in ("/", f"/{translated.guide.slug}", f"/{translated.guide.slug}/", "/sitemap.xml"):
        assert translated.title not in customers.get(path, follow=True).content.decode()


@pytest.mark.parametrize("role", ["packer", "shop"])
def test_whoever_packs_or_sells_sees_what_is_published_alone(at_desk, translated, printed, role):
    desk = at_desk(role=role)
    for address in (_frame(translated), _address(translated), _insert(translated)):
        assert desk.get(address).status_code == 404
    change = reverse("admin:guides_guideversion_change", args=[translated.pk])
    assert translated.title not in desk.get(change, follow=True).content.decode()
    assert translated.title not in desk.get(reverse("admin:guides_guideversion_changelist")).content.decode()
    assert desk.get(_frame(printed)).status_code == 200
    assert desk.get(reverse("admin:guides_guideversion_change", args=[printed.pk])).status_code == 200


@pytest.mark.parametrize("role", ["roaster", "publisher", "reader"])
def test_staff_who_may_look_at_versions_see_the_preview(at_desk, translated, role):
    desk = at_desk(role=role)
    for address in (_frame(translated), _address(translated), _insert(translated)):
        assert desk.get(address).status_code == 200


def test_staff_without_a_role_see_none(at_desk, translated):
    """The control: what lets the others in is their permission to look."""
    desk = at_desk(UserFactory(is_staff=True))
    for address in (_frame(translated), _address(translated), _insert(translated)):
        assert desk.get(address).status_code == 403
