"""A roast date is a day of the roastery's, wherever it is and whatever its clocks do that day.

When clocks change is the time zone database's to say (IANA tzdata, read by the standard library's ``zoneinfo``). Plain
runs try zones with a quirk each, full counts all there are.
"""

from __future__ import annotations

import datetime
import os
import re
import zoneinfo
from collections.abc import Iterator
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from django.utils import timezone
from pytest_django import Settings

from guides.models import Lot

from . import world

pytestmark = [pytest.mark.django_db, pytest.mark.data]

QUIRKS = [
    "Africa/Cairo",  # clocks change at midnight, so that a day begins at one, and the last hour comes twice
    "Australia/Lord_Howe",  # half an hour off the others, and changes by half an hour
    "Pacific/Kiritimati",  # 14 hours ahead: first into every day
    "Pacific/Pago_Pago",  # 11 hours behind: last
]
FULL = os.environ.get("FULL_COUNTS") == "1"
ZONES = sorted(zoneinfo.available_timezones() - {"localtime"}) if FULL else QUIRKS
YEAR = 2026
FIRST = datetime.time(0, 0, 1)
LAST = datetime.time(23, 59, 59, fold=1)  # of two such moments the later one


def days(zone: ZoneInfo) -> Iterator[datetime.date]:
    """New Year and every day of a year on which the zone's clocks change."""
    yield datetime.date(YEAR, 1, 1)
    noon = datetime.datetime(YEAR, 1, 1, 12, tzinfo=zone)
    for _day in range(364):
        before, noon = noon, noon + datetime.timedelta(days=1)
        if noon.utcoffset() != before.utcoffset():
            yield noon.date()


def shown(client: Client, code: str) -> tuple[str, int]:
    """Give the roast date that a bag's page tells programs, and the day off roast that it tells people."""
    text = client.get(f"/L/{code}", headers={"Accept-Language": "en"}).text
    (date,), (day,) = set(re.findall(r'"productionDate":\s*"([^"]+)"', text)), set(re.findall(r"Day.(\d+).since", text))
    return date, int(day)


def test_no_roast_date_shifts(client: Client, settings: Settings, monkeypatch: pytest.MonkeyPatch) -> None:
    world.roastery()
    lot, code = world.bag()
    world.guide_for(lot)
    looks, shifted = 0, []
    for name in ZONES:
        settings.TIME_ZONE = name
        for day in days(ZoneInfo(name)):
            lot.roasted_on = day
            lot.save()
            assert Lot.objects.filter(roasted_on=day).get() == lot
            for since, time in ((0, FIRST), (0, LAST), (1, FIRST), (1, LAST)):
                moment = datetime.datetime.combine(day + datetime.timedelta(days=since), time, ZoneInfo(name))
                monkeypatch.setattr(timezone, "now", lambda moment=moment: moment.astimezone(datetime.UTC))
                looks += 1
                if shown(client, code) != (day.isoformat(), since):
                    shifted.append((name, moment, shown(client, code)))
    print(f"{len(ZONES)} zones, {looks} looks at the edges of days, {len(shifted)} shifted roast dates")
    assert not shifted


def test_control_a_moment_in_place_of_a_day_would_shift() -> None:
    begin = [datetime.datetime.combine(day, FIRST, ZoneInfo(name)) for name in QUIRKS for day in days(ZoneInfo(name))]
    assert sum(moment.astimezone(datetime.UTC).date() != moment.date() for moment in begin) > len(begin) / 2
