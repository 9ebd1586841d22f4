"""Customers' brews as a crowd at the desk, and their end."""

from __future__ import annotations

import datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from guides.jobs import sweeper
from guides.lifecycle import home_brew
from guides.models import HomeBrew
from tests.factories import published

pytestmark = pytest.mark.django_db
CROWD = "/admin/guides/homebrew/crowd/"


def sent(version, **fields):
    told = {"language": "en", "dose_g": 16, "grind_um": 660, "brewer": "Cone", "text": "Somebody", "drained_s": 190}
    return HomeBrew.objects.create(version=version, **{**told, **fields})


def test_it_shows_times_by_grinder_and_no_words_of_anybody(at_desk, text_of):
    version = published()
    for drained_s in (180, 190, 200):
        sent(version, drained_s=drained_s, grinder="own")
    text = text_of(at_desk(role="reader").get(CROWD))
    assert "a grinder of their own, 3" in text
    assert "3:10" in text
    assert "deleted after 365 days" in text
    assert "Somebody" not in text


def test_an_empty_crowd_says_so(at_desk, text_of):
    assert "Nobody has sent a brew" in text_of(at_desk().get(CROWD))


def test_it_costs_as_many_queries_for_many(at_desk):
    desk = at_desk()

    def cost(versions: int) -> int:
        for _ in range(versions):
            sent(published())
        with CaptureQueriesContext(connection) as captured:
            desk.get(CROWD)
        return len(captured)

    cost(1)
    assert cost(1) == cost(4)


def test_a_brew_is_deleted_when_it_has_been_kept_as_long_as_was_said():
    version, now = published(), timezone.now()
    old = sent(version, sent_at=now - datetime.timedelta(days=home_brew.KEPT_DAYS, minutes=1))
    young = sent(version, sent_at=now - datetime.timedelta(days=home_brew.KEPT_DAYS - 1))
    sweeper.sweep()
    assert list(HomeBrew.objects.all()) == [young]
    assert old.pk != young.pk
