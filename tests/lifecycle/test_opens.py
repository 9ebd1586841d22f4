"""Openings are counted in memory and added to the day's row: none twice, none lost but by a kill."""

from __future__ import annotations

import datetime
import os
import threading
import time

import pytest
from django.db import DatabaseError, connection, connections
from django.utils import timezone

from guides.choices import Opened
from guides.lifecycle import opens
from guides.models import GuideOpens
from tests.factories import GuideFactory

pytestmark = pytest.mark.data


@pytest.fixture(autouse=True)
def _nothing_counted():
    opens._tally.take()
    yield
    opens._tally.take()


def _times() -> dict[tuple[int, str], int]:
    return {(row.guide_id, row.what): row.times for row in GuideOpens.objects.all()}


@pytest.mark.django_db
def test_what_is_noted_is_added_once_to_the_day(django_assert_num_queries):
    guide, other = GuideFactory(), GuideFactory()
    with django_assert_num_queries(0):
        for _ in range(3):
            opens.note(guide.pk)
        opens.note(guide.pk, Opened.BREWING)
        opens.note(other.pk)
    opens.add()
    opens.add()
    assert _times() == {(guide.pk, "page"): 3, (guide.pk, "brewing"): 1, (other.pk, "page"): 1}
    opens.note(guide.pk)
    opens.add()
    assert _times()[guide.pk, "page"] == 4
    assert {row.day for row in GuideOpens.objects.all()} == {timezone.localdate()}


@pytest.mark.django_db
def test_the_day_is_the_roasterys(settings, monkeypatch):
    settings.TIME_ZONE = "Pacific/Auckland"
    late = datetime.datetime(2026, 11, 25, 12, 30, tzinfo=datetime.UTC)
    monkeypatch.setattr(timezone, "now", lambda: late)
    opens.note(GuideFactory().pk)
    opens.add()
    assert GuideOpens.objects.get().day == datetime.date(2026, 11, 26), "half past one at night over there"


@pytest.mark.django_db
def test_a_guide_that_is_gone_takes_no_other_count_with_it():
    guide = GuideFactory()
    opens.note(guide.pk)
    opens.note(guide.pk + 1000)
    opens.add()
    assert _times() == {(guide.pk, "page"): 1}


@pytest.mark.django_db
def test_what_could_not_be_added_waits(monkeypatch, caplog):
    guide = GuideFactory()
    opens.note(guide.pk)

    def refuse(taken: object) -> None:
        raise DatabaseError("out of reach")

    with monkeypatch.context() as broken:
        broken.setattr(opens, "_add", refuse)
        opens.add()
    assert "tried again" in caplog.text
    opens.note(guide.pk)
    opens.add()
    assert _times() == {(guide.pk, "page"): 2}


def _at_once(work, workers: int = 8) -> None:
    def run() -> None:
        try:
            work()
        finally:
            connections.close_all()

    threads = [threading.Thread(target=run) for _ in range(workers)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


@pytest.mark.django_db(transaction=True)
def test_many_processes_add_to_one_row():
    """Eight writers with a connection each, as eight processes have, twenty-five times."""
    guide = GuideFactory()
    key = (guide.pk, timezone.localdate(), Opened.PAGE.value)
    _at_once(lambda: [opens._add(opens.Counter({key: 1})) for _ in range(25)])
    print(f"{connection.vendor}: {_times()[guide.pk, 'page']} of 200")
    assert _times() == {(guide.pk, "page"): 200}


@pytest.mark.django_db(transaction=True)
def test_reading_before_writing_would_lose_some():
    """Negative control."""
    guide = GuideFactory()
    row = GuideOpens.objects.create(guide=guide, day=timezone.localdate(), what=Opened.PAGE, times=1)
    met = threading.Barrier(8)

    def read_then_write() -> None:
        times = GuideOpens.objects.get(pk=row.pk).times
        met.wait(timeout=30)
        GuideOpens.objects.filter(pk=row.pk).update(times=times + 1)

    _at_once(read_then_write)
    assert _times()[guide.pk, "page"] < 9


@pytest.mark.django_db(transaction=True)
def test_a_thread_of_the_process_adds_by_itself(settings, monkeypatch):
    settings.OPENS_ADDED_EVERY_S = 0.05
    monkeypatch.setattr(opens, "_tally", opens._Tally())
    monkeypatch.setattr(opens, "_stopped", threading.Event())
    guide = GuideFactory()
    for wanted in (1, 2):
        opens.note(guide.pk)
        late = time.monotonic() + 20
        while _times() != {(guide.pk, "page"): wanted} and time.monotonic() < late:
            time.sleep(0.05)
        assert _times() == {(guide.pk, "page"): wanted}
    opens._add_the_rest()
    assert not opens._tally.adding.is_alive()


def test_a_fork_starts_at_nothing():
    """The web server forks its workers: neither the count nor the thread goes with them."""
    opens.note(1)
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.write(writing, b"empty" if not opens._tally._seen and opens._tally.adding is None else b"inherited")
        os._exit(0)
    os.waitpid(child, 0)
    assert os.read(reading, 20) == b"empty"
    assert sum(opens._tally.take().values()) == 1
