"""Lists narrowed to a year and a month of it, at the same few queries however many rows there are."""

from __future__ import annotations

import datetime

import pytest
import time_machine
from django.contrib import admin
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from guides.models import HomeBrew, Lot
from tests.factories import LotFactory, UserFactory
from tests.factories.busy import busy_site

pytestmark = [pytest.mark.django_db, pytest.mark.data]
LOTS = "/admin/guides/lot/"


@pytest.fixture(autouse=True)
def day():
    with time_machine.travel("2026-03-10T12:00:00Z", tick=False):
        yield


@pytest.fixture
def desk(at_desk):
    return at_desk(UserFactory(is_superuser=True))


def choices(desk, address: str) -> list[str]:
    (period,) = [each for each in desk.get(address).context["cl"].filter_specs if each.title == "roasted on"]
    return [str(label) for _key, label in period.lookup_choices]


def shown(desk, address: str) -> set[str]:
    return {str(row) for row in desk.get(address).context["cl"].queryset}


def test_lots_are_narrowed_to_a_year_and_a_month_of_it(desk):
    for name, roasted_on in (("A", "2024-12-31"), ("B", "2026-01-01"), ("C", "2026-01-31"), ("D", "2026-02-01")):
        LotFactory(name=name, roasted_on=datetime.date.fromisoformat(roasted_on))
    assert choices(desk, LOTS) == ["2026", "2025", "2024"]
    assert choices(desk, f"{LOTS}?period=2026") == [
        "2026", "March 2026", "February 2026", "January 2026", "2025", "2024",
    ]  # fmt: skip
    assert shown(desk, f"{LOTS}?period=2026") == {"B", "C", "D"}
    assert shown(desk, f"{LOTS}?period=2026-01") == {"B", "C"}
    assert shown(desk, f"{LOTS}?period=2024-12") == {"A"}
    assert shown(desk, f"{LOTS}?period=2025") == set()
    for nonsense in ("2026-13", "0", "9999", "２０２６", "2026-1", "x"):
        assert len(shown(desk, f"{LOTS}?period={nonsense}")) == 4


def test_moments_are_of_the_day_they_are_at_the_roastery(desk):
    (version,) = busy_site(1, 1, coffees=1)
    with timezone.override("Europe/Helsinki"):  # two hours ahead
        for text, at in (("old year", "2025-12-31T21:59:59Z"), ("new year", "2025-12-31T22:00:00Z")):
            row = {"version": version, "language": "en", "dose_g": 15, "grind_um": 700, "brewer": "Cone", "text": text}
            HomeBrew.objects.create(**row, sent_at=datetime.datetime.fromisoformat(at))
        rows = desk.get("/admin/guides/homebrew/?period=2026-01").context["cl"].queryset
        assert [row.text for row in rows] == ["new year"]


def test_an_empty_list_offers_no_period(desk):
    assert not Lot.objects.exists()
    assert not [each for each in desk.get(LOTS).context["cl"].filter_specs if each.title == "roasted on"]


def test_no_list_goes_down_by_dates_that_every_row_is_asked_for(desk):
    ours = [each for each in admin.site._registry.values() if each.opts.app_label == "guides"]
    assert [each for each in ours if each.date_hierarchy] == []
    busy_site(3, 1, coffees=1)
    desk.get(LOTS)
    with CaptureQueriesContext(connection) as asked:
        desk.get(f"{LOTS}?period=2026")
    assert not any("DISTINCT" in query["sql"] and "roasted_on" in query["sql"] for query in asked.captured_queries)
