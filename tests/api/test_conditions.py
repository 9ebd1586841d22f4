"""When each answer last changed: never told older than it is, and not moved by what it does not show.

Outside source: RFC 9110, 8.8.2 (Last-Modified), 13.1.3 and 13.2.2 (If-None-Match comes before If-Modified-Since).
"""

from __future__ import annotations

import datetime
from collections import OrderedDict
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from django.utils.http import http_date, parse_http_date

from guides.api import kept
from guides.lifecycle import recall, withdraw
from guides.lifecycle.assign import hold
from guides.lifecycle.draft import open_next
from guides.models import (
    ApiToken,
    Assignment,
    Brewer,
    ChangeMark,
    Coffee,
    CoffeePicture,
    GuideVersion,
    Lot,
    PageStamp,
    Roastery,
    stamp_triggers,
)
from tests.factories import LotFactory, TrialBrewFactory
from tests.factories.programs import issued, told
from tests.public import world

from .conftest import API, Sold

pytestmark = pytest.mark.django_db
SHEETS = {"sheet", "bag", "printed", "own"}


@dataclass
class Shop:
    """What a shop reads, by name: its address; and a token that is good for all of it."""

    sold: Sold
    addresses: dict[str, str]
    token: str

    def read(self, client, name: str, **headers: str):
        return client.get(API + self.addresses[name], headers={"Authorization": f"Bearer {self.token}", **headers})

    def state(self, client) -> dict[str, tuple[bytes, int | None]]:
        """Each answer, and the time it tells."""
        found = {}
        for name in self.addresses:
            answer = self.read(client, name)
            if (answer.status_code, name) == (404, "bag"):
                continue  # its guide is held
            assert answer.status_code == 200, (name, answer.content)
            sent = answer.headers.get("Last-Modified")
            found[name] = (answer.content, parse_http_date(sent) if sent else None)
        return found


@pytest.fixture
def shop(sold: Sold, settings) -> Shop:
    settings.API_RATE_WITH_TOKEN = "100000/hour"
    ApiToken.objects.all().delete()
    _token, text = issued("evidence", "webhooks")
    number, webhook = sold.version.guide.number, told()
    return Shop(
        sold,
        {
            "roastery": "/roastery", "index": "/", "coffees": "/coffees", "coffee": f"/coffees/{sold.lot.coffee_id}",
            "lots": "/lots", "lot": f"/lots/{sold.lot.name}", "guides": "/guides", "guide": f"/guides/{number}",
            "versions": f"/guides/{number}/versions", "version": f"/guides/{number}/versions/1",
            "sheet": f"/guides/{number}/sheet", "bag": f"/guides/{number}/sheet?lot={sold.lot.name}&language=sv",
            "printed": f"/guides/{number}/versions/1/sheet", "own": f"/guides/{number}/sheet?altitude=1200",
            "evidence": f"/guides/{number}/evidence", "changes": "/changes", "webhooks": "/webhooks",
            "webhook": f"/webhooks/{webhook.pk}",
        },
        text,
    )  # fmt: skip


def settle() -> None:
    """PostgreSQL marks a change when its transaction ends, which inside a test it does not."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")


def age() -> datetime.datetime:
    """Let everything have changed last in the night before the day before yesterday."""
    settle()
    today = timezone.localtime().replace(hour=0, minute=0, second=0, microsecond=0)
    at = today - datetime.timedelta(days=3)
    ChangeMark.objects.update(at=at)
    PageStamp.objects.update(changed_at=at)
    return at


def _moved(sold: Sold) -> None:
    """A lot that was entered under the wrong coffee, and has no code yet."""
    Lot.objects.filter(name="MOVED-1").update(coffee=Coffee.objects.exclude(pk=sold.lot.coffee_id).first())


def _raw(sold: Sold) -> None:
    with connection.cursor() as cursor:
        cursor.execute("UPDATE guides_coffee SET description = 'Clear.' WHERE id = %s", [sold.lot.coffee_id])


def _open(sold: Sold) -> GuideVersion:
    return sold.version.guide.versions.get(revision=None)


COFFEE, GUIDE, LOT = {"coffees", "coffee"}, {"guides", "guide"}, {"lots", "lot"}
# What each change moves: the answers that show it, and ("own") whatever is worked out from all of the site.
STORY: list[tuple[str, Callable[[Sold], object], set[str]]] = [
    ("a lot beside it", lambda sold: LotFactory(name="MOVED-1", coffee=sold.lot.coffee), {*COFFEE, "lots", "changes"}),
    ("another coffee's guide", lambda _sold: world.coffee_with_guide(), {"coffees", "lots", "guides", "changes"}),
    ("that lot's coffee", _moved, {*COFFEE, "lots", "changes"}),
    ("that lot hidden", lambda _sold: Lot.objects.filter(name="MOVED-1").update(is_public=False),
     {"coffees", "lots", "changes"}),
    ("a draft", lambda sold: open_next(sold.version.guide, by=world.boss()), set()),
    ("the draft's words", lambda sold: GuideVersion.objects.filter(pk=_open(sold).pk).update(why="So."), set()),
    ("its window", lambda sold: Lot.objects.filter(pk=sold.lot.pk).update(rest_days=1, best_days=9),
     {*COFFEE, *LOT, "bag", "changes"}),
    ("its coffee, in SQL", _raw, {*COFFEE, *LOT, *GUIDE, *SHEETS, "changes"}),
    ("its coffee's name", lambda sold: Coffee.objects.filter(pk=sold.lot.coffee_id).update(name="Renamed"),
     {*COFFEE, *LOT, *GUIDE, *SHEETS, "changes"}),
    ("its picture", lambda _sold: CoffeePicture.objects.update(alt={"en": "A ferry."}),
     {*COFFEE, *LOT, *GUIDE, *SHEETS, "changes"}),
    ("the brewer's name", lambda sold: Brewer.objects.filter(pk=sold.version.brewer_id).update(name="Renamed"),
     {*COFFEE, *GUIDE}),
    ("a trial brew", lambda sold: TrialBrewFactory(of=sold.version, lot=sold.lot), {"evidence"}),
    ("a webhook", lambda _sold: told(), {"webhooks"}),
    ("the main language", lambda _sold: Roastery.objects.update(languages=["sv", "en"]),
     {"roastery", "index", "changes", *COFFEE, *LOT, *GUIDE, *SHEETS}),
    ("the next revision", lambda sold: world.published(_open(sold)),
     {*COFFEE, *LOT, *GUIDE, "versions", "sheet", "bag", "changes"}),
    ("the first withdrawn", lambda sold: withdraw.withdraw(sold.version, by=world.boss(), reason="Too hot."),
     {*COFFEE, *LOT, *GUIDE, *SHEETS, "versions", "version", "changes"}),
    ("recalled", lambda sold: recall.recall(sold.lot, by=world.boss(), reason="A screw."),
     {*COFFEE, *LOT, "bag", "changes"}),
    ("held for the lot", lambda sold: hold(Assignment.objects.get(lot=sold.lot), by=world.boss(), reason="Late."),
     {*COFFEE, *LOT, "changes"}),
]  # fmt: skip


@pytest.fixture
def nothing_kept(monkeypatch) -> None:
    """The story lets every change lie equally long ago, which no two changes on a site do."""
    monkeypatch.setattr(kept, "keep", lambda *_args: None)


def told_by(client, shop: Shop, story=STORY) -> Iterator[tuple[str, set[str], set[str], set[str]]]:
    """Let the story happen; give each change, whose words it changed, whose time, and whose it should have."""
    age()
    words, times = _apart(shop.state(client))
    for what, change, moving in story:
        age()
        change(shop.sold)
        settle()
        with time_machine.travel(timezone.now() + datetime.timedelta(seconds=10)):
            now, told_now = _apart(shop.state(client))
        yield (
            what,
            {name for name in now if now[name] != words[name]},
            {name for name in now if told_now[name] != times[name]},
            moving & set(now),
        )
        words = now


def _apart(state: dict[str, tuple[bytes, int | None]]) -> tuple[dict[str, bytes], dict[str, int | None]]:
    return {name: words for name, (words, _at) in state.items()}, {name: at for name, (_words, at) in state.items()}


@pytest.mark.data
@pytest.mark.usefixtures("nothing_kept")
@pytest.mark.django_db(transaction=True)  # a transaction marks a thing once
def test_each_answer_tells_when_it_last_changed_itself(client, shop: Shop) -> None:
    for what, words, times, moving in told_by(client, shop):
        print(f"{what}: {len(words)} answers differ, {len(times)} tell another time")
        assert words <= times, f"{what}: an answer that changed says that it did not"
        # What is made one reader's own rests on the whole site.
        assert times - {"own", "evidence"} == moving - {"own", "evidence"}, what


@pytest.mark.data
@pytest.mark.usefixtures("nothing_kept")
@pytest.mark.django_db(transaction=True)
def test_control_without_the_marks_an_old_answer_is_confirmed(client, shop: Shop) -> None:
    stamp_triggers.remove(connection)
    for what, words, times, _moving in told_by(client, shop, [STORY[6], STORY[8]]):
        assert len(words) >= 5, what
        assert times == set(), what


def test_the_time_of_a_thing_is_its_own(client, shop: Shop) -> None:
    """A revision tells when it was published, its guide when the newest was, and both confirm it."""
    at = age()
    answer = shop.read(client, "version")
    assert parse_http_date(answer.headers["Last-Modified"]) == int(at.timestamp())
    since = answer.headers["Last-Modified"]
    assert shop.read(client, "version", **{"If-Modified-Since": since}).status_code == 304
    before = http_date(at.timestamp() - 1)
    assert shop.read(client, "version", **{"If-Modified-Since": before}).status_code == 200
    # What tells the day is as old as the day, in the roastery's own time.
    midnight = timezone.localtime().replace(hour=0, minute=0, second=0, microsecond=0)
    assert parse_http_date(shop.read(client, "lot").headers["Last-Modified"]) == int(midnight.timestamp())


def test_a_tag_counts_before_a_time(client, shop: Shop) -> None:
    at = age()
    etag, now = shop.read(client, "guide").headers["ETag"], http_date(at.timestamp() + 60)
    long_ago = http_date(at.timestamp() - 86_400)
    assert shop.read(client, "guide", **{"If-None-Match": etag, "If-Modified-Since": long_ago}).status_code == 304
    assert shop.read(client, "guide", **{"If-None-Match": '"other"', "If-Modified-Since": now}).status_code == 200
    assert shop.read(client, "guide", **{"If-None-Match": f'"other", W/{etag}'}).status_code == 304


def test_nothing_is_told_of_a_change_in_this_very_moment(client, shop: Shop) -> None:
    """A time in whole seconds would look the same after a second change."""
    age()
    Coffee.objects.update(description="Clear.")
    settle()
    assert "Last-Modified" not in shop.read(client, "coffees").headers
    assert "Last-Modified" in shop.read(client, "versions").headers
    assert "Last-Modified" not in client.get(f"{API}/openapi.json").headers, "the description is no thing that changes"


@pytest.fixture
def fresh(monkeypatch) -> None:
    """A process that has kept nothing yet."""
    monkeypatch.setattr(kept, "_answers", OrderedDict())


def _costs(client, shop: Shop, name: str) -> int:
    with CaptureQueriesContext(connection) as captured:
        shop.read(client, name)
    return len(captured)


@pytest.mark.usefixtures("fresh")
@pytest.mark.django_db(transaction=True)
def test_a_finished_answer_costs_the_same_whatever_is_in_it(client, shop: Shop) -> None:
    age()
    shop.read(client, "roastery")  # the first of a stretch is counted in a row of its own
    names = [name for name in shop.addresses if name not in ("own", "evidence", "webhooks", "webhook")]
    made, again = ({name: _costs(client, shop, name) for name in names} for _time in range(2))
    print(f"queries to make an answer: {made}; kept: {set(again.values())}")
    assert max(made.values()) >= 2 * max(again.values())
    assert max(again.values()) - min(again.values()) <= 1  # a language that is named is looked up among those offered


@pytest.mark.usefixtures("fresh")
@pytest.mark.django_db(transaction=True)
def test_a_kept_answer_is_gone_with_the_first_change_and_with_the_day(client, shop: Shop) -> None:
    age()
    day = shop.read(client, "lot").json()["day"]
    with time_machine.travel(timezone.now() + datetime.timedelta(days=1)):
        assert shop.read(client, "lot").json()["day"] == day + 1
    recall.recall(shop.sold.lot, by=world.boss(), reason="A screw.")
    assert shop.read(client, "lot").json()["recalled"]["reason"] == "A screw."


@pytest.mark.usefixtures("fresh")
@pytest.mark.django_db(transaction=True)
def test_control_without_the_marks_a_kept_answer_stays(client, shop: Shop) -> None:
    age()
    shop.read(client, "lot")
    stamp_triggers.remove(connection)
    recall.recall(shop.sold.lot, by=world.boss(), reason="A screw.")
    assert shop.read(client, "lot").json()["recalled"] is None
