"""A draft as customers will read it, and only for staff."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from guides.models import GuideVersion
from tests.factories import GuideVersionFactory, ValveVersionFactory

pytestmark = pytest.mark.django_db


def _address(version: GuideVersion) -> str:
    return reverse("admin:guides_guideversion_preview", args=[version.pk])


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
