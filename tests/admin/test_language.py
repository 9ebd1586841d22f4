"""Each member of staff has a language, and the desk speaks it: words, dates and numbers."""

from __future__ import annotations

import datetime

import pytest
from django.utils import timezone

from tests.factories import LotFactory, UserFactory

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("language", "title", "month"),
    [
        ("en", "The roaster's desk", "June"),
        ("sv", "Rosterarens skrivbord", "juni"),
        ("fi", "Paahtajan työpöytä", "kesäkuuta"),
    ],
)
def test_the_desk_speaks_the_language_of_who_is_there(at_desk, text_of, monkeypatch, language, title, month):
    monkeypatch.setattr(timezone, "now", lambda: datetime.datetime(2026, 6, 10, 12, tzinfo=datetime.UTC))
    LotFactory(roasted_on=datetime.date(2026, 6, 1))
    response = at_desk(UserFactory(role="roaster", language=language)).get("/admin/", headers={"accept-language": "de"})
    page = text_of(response)
    assert title in page
    assert month in page
    assert response.headers["Content-Language"] == language
    assert f'<html lang="{language}"' in response.content.decode()


def test_without_a_choice_it_is_the_browsers(at_desk, text_of):
    page = text_of(at_desk().get("/admin/", headers={"accept-language": "fi"}))
    assert "Paahtajan työpöytä" in page


def test_a_choice_is_kept_and_leads_back(at_desk, roaster, text_of):
    desk = at_desk(roaster)
    response = desk.post(
        "/admin/language/", {"language": "sv"}, headers={"referer": "http://testserver/admin/guides/lot/"}
    )
    assert response.url == "http://testserver/admin/guides/lot/"
    roaster.refresh_from_db()
    assert roaster.language == "sv"
    assert "Partier" in text_of(desk.get("/admin/guides/lot/"))
    assert set(response.cookies) == set()


def test_it_leads_nowhere_else(at_desk):
    response = at_desk().post("/admin/language/", {"language": "fi"}, headers={"referer": "https://elsewhere.example/"})
    assert response.url == "/admin/"


def test_what_is_not_offered_is_refused(at_desk, roaster):
    assert at_desk(roaster).post("/admin/language/", {"language": "xx"}).status_code == 400
    assert at_desk(roaster).get("/admin/language/").status_code == 405
    roaster.refresh_from_db()
    assert roaster.language == ""


def test_customers_pages_do_not_follow_it(at_desk):
    from guides.models import Roastery

    Roastery.objects.create(name="Mossgull Roasting Room", languages=["en", "fi"])
    page = at_desk(UserFactory(role="roaster", language="fi")).get("/en/")
    assert page.headers["Content-Language"] == "en"


def test_only_staff_choose(client):
    assert "/admin/login/" in client.post("/admin/language/", {"language": "fi"}).url
