"""Which answers count as opening a guide, and that nothing about the reader is kept: no address, browser or cookie."""

from __future__ import annotations

import logging
import os

import pytest
from django.apps import apps
from django.db import connection
from django.test.utils import CaptureQueriesContext

from guides.choices import Opened
from guides.lifecycle import opens
from guides.models import GuideOpens, Roastery
from guides.public import bags, counting
from tests.factories.packed import packed

pytestmark = [pytest.mark.django_db, pytest.mark.data]

SCANS = 1000 if os.environ.get("FULL_COUNTS") == "1" else 100
ADDRESS, BROWSER = "203.0.113.77", "Cinnamon/4.2 (a browser nobody else has)"


@pytest.fixture
def scan(client):
    """``scan(…)`` asks for a bag's page as phones do; ``scan.guide`` is the guide on it, ``scan.bag`` its address."""
    opens._tally.take()
    Roastery.objects.create(name="Mossgull Roasting Room", languages=["en", "sv"])
    lot, version = packed()
    bag = f"/L/{lot.addresses.get().code}"

    def ask(address: str = bag, method: str = "get", **headers: str):
        return getattr(client, method)(address, headers=headers, REMOTE_ADDR=ADDRESS, HTTP_USER_AGENT=BROWSER)

    ask.guide, ask.bag = version.guide, bag
    yield ask
    opens._tally.take()


def _counted() -> int:
    opens.add()
    return sum(GuideOpens.objects.values_list("times", flat=True))


def test_a_bag_and_a_guides_own_page_count(scan):
    scan()
    scan(f"/sv/guides/{scan.guide.slug}/")
    assert _counted() == 2
    assert GuideOpens.objects.get().guide == scan.guide


def test_a_page_looked_at_again_counts_though_the_phone_had_kept_it(scan):
    kept = scan()
    again = scan(if_none_match=kept.headers["ETag"])
    assert again.status_code == 304
    assert _counted() == 2


def test_brewing_along_is_counted_by_itself(scan):
    """Of a guide and beside a bag; an address that cannot be brewed leads to the guide and is not counted."""
    beside = f"{scan.bag}/{scan.guide.number}.1.EN/brew"
    for address in (beside, f"/sv/guides/{scan.guide.slug}/brew/", f"/sv/guides/{scan.guide.slug}/brew/?dose=9"):
        assert scan(address).status_code == 200
    assert scan(beside, sec_purpose="prefetch").status_code == 200
    assert scan(f"/sv/guides/{scan.guide.slug}/brew/?dose=much").status_code == 302
    opens.add()
    assert list(GuideOpens.objects.values_list("guide", "what", "times")) == [(scan.guide.pk, Opened.BREWING, 3)]


@pytest.mark.parametrize("header", [{"sec_purpose": "prefetch;prerender"}, {"purpose": "prefetch"}])
def test_what_a_browser_fetches_on_a_guess_does_not_count(scan, header):
    assert scan(**header).status_code == 200
    assert _counted() == 0


def test_a_head_request_and_an_unknown_code_do_not_count(scan):
    scan(method="head")
    assert scan("/L/00000000").status_code == 404
    assert _counted() == 0


def test_counting_asks_the_database_nothing(scan, monkeypatch):
    def queries() -> int:
        with CaptureQueriesContext(connection) as captured:
            assert scan().status_code == 200
        return len(captured)

    queries()  # what a process keeps for a second is kept now
    counted = queries()
    monkeypatch.setattr(opens, "note", lambda *args: None)
    assert queries() == counted


def _everything_kept() -> str:
    """Every value of every table, run together."""
    kept = []
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names():
            cursor.execute(f"SELECT * FROM {connection.ops.quote_name(table)}")  # noqa: S608 - names of our own tables
            kept += [repr(row) for row in cursor.fetchall()]
    return "\n".join(kept)


def _scans(scan, caplog, times: int) -> tuple[str, str, int]:
    """What is kept and what is logged after some scans, and how many cookies were set."""
    caplog.set_level(logging.DEBUG)
    answers = [scan() for _ in range(times)]
    opens.add()
    return _everything_kept(), caplog.text, sum(bool(answer.cookies) for answer in answers)


def test_scans_leave_a_number_and_nothing_else(scan, caplog, capfd):
    kept, logged, cookies = _scans(scan, caplog, SCANS)
    said = capfd.readouterr()
    everywhere = kept + logged + said.out + said.err
    found = {what: everywhere.count(what) for what in (ADDRESS, BROWSER)}
    with capfd.disabled():
        print(f"\n{connection.vendor}: {SCANS} scans, found {list(found.values())}, cookies {cookies}")
    assert found == {ADDRESS: 0, BROWSER: 0}
    assert cookies == 0
    assert GuideOpens.objects.get().times == SCANS


def test_an_address_that_is_kept_or_logged_would_be_found(scan, caplog, monkeypatch):
    """Negative control."""
    stock = counting.opened

    def careless(request, response, *args):
        logging.getLogger("guides").info("Opened by %s", request.META["REMOTE_ADDR"])
        Roastery.objects.update(place=request.headers["User-Agent"])
        response.set_cookie("reader", "1")
        return stock(request, response, *args)

    monkeypatch.setattr(bags.counting, "opened", careless)
    kept, logged, cookies = _scans(scan, caplog, 3)
    assert BROWSER in kept
    assert ADDRESS in logged
    assert cookies == 3


def test_the_table_has_room_for_nothing_but_a_number():
    fields = {field.name for field in apps.get_model("guides", "GuideOpens")._meta.concrete_fields}
    assert fields == {"id", "guide", "day", "what", "times"}
