"""Dates at the desk read like those on customers' pages."""

from __future__ import annotations

import datetime

import pytest
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import override

from guides.models import User
from tests.factories import LotFactory

EVENING = datetime.datetime(2026, 11, 5, 18, 30, tzinfo=datetime.UTC)


@pytest.mark.parametrize(
    ("language", "written"),
    [("en", "5 November 2026, 18:30"), ("sv", "5 november 2026 18:30"), ("fi", "5. marraskuuta 2026 kello 18.30")],
)
def test_each_language_has_its_own_way(language: str, written: str) -> None:
    with override(language):
        assert date_format(EVENING, "DATETIME_FORMAT") == written


@pytest.mark.django_db
def test_a_list_writes_the_day_before_the_month(client, roaster: User) -> None:
    LotFactory(roasted_on=datetime.date(2026, 11, 5))
    client.force_login(roaster)
    page = client.get(reverse("admin:guides_lot_changelist")).content.decode()
    assert "5 November 2026" in page
    assert "Nov. 5" not in page
