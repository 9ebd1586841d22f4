"""Copies left over: who says what happens to them, and when that has to be said anew."""

from __future__ import annotations

import datetime

import pytest
from django.utils import timezone

from guides.lifecycle import recall, withdraw
from guides.lifecycle.draft import open_next
from guides.lifecycle.packing import count, settle
from guides.lifecycle.packing.count import Counts
from guides.models import Event, PackingRun, User
from guides.queries import packing_runs
from tests.factories import UserFactory, published, ready_run

from .conftest import refused

pytestmark = [pytest.mark.django_db, pytest.mark.data]
TODAY = timezone.localdate()
NEXT_WEEK = TODAY + datetime.timedelta(days=7)


@pytest.fixture
def run(packer: User) -> PackingRun:
    """Six copies lie in a drawer, to be used within the week."""
    return count.count(ready_run(), Counts(48, 2, 6, 40), by=packer, leftovers="use", use_until=NEXT_WEEK)


def next_revision(run: PackingRun) -> None:
    published(open_next(run.version.guide, by=UserFactory(role="roaster")))


def waiting(today: datetime.date = TODAY) -> list[PackingRun]:
    return list(packing_runs.to_settle(today))


def test_while_all_is_as_it_was_nothing_needs_to_be_said(run: PackingRun) -> None:
    assert waiting() == []
    assert waiting(NEXT_WEEK) == []


def test_when_their_day_is_over_it_does(run: PackingRun) -> None:
    assert waiting(NEXT_WEEK + datetime.timedelta(days=1)) == [run]


def test_a_newer_revision_asks_once(run: PackingRun, packer: User) -> None:
    next_revision(run)
    (asked,) = waiting()
    assert asked.newer == 2
    settle.settle(run, "use", by=packer, use_until=TODAY)
    assert waiting() == []
    line = Event.objects.get(verb="settled_copies")
    assert (line.by, line.details["use_until"], line.details["left_over"]) == (packer, TODAY.isoformat(), 6)


def test_a_withdrawn_guide_asks(run: PackingRun, publisher: User) -> None:
    withdraw.withdraw(run.version, by=publisher, reason="Drains too slowly.")
    assert waiting() == [run]


@pytest.mark.parametrize("what", ["newer", "withdrawn", "recalled"])
def test_of_a_run_that_nobody_counted_it_asks_too(packer: User, publisher: User, what: str) -> None:
    """What is left of it is not even known: counting says it, and what happens to it, at once."""
    run = ready_run()
    assert waiting() == []
    if what == "newer":
        next_revision(run)
        assert waiting()[0].newer == 2
    elif what == "withdrawn":
        withdraw.withdraw(run.version, by=publisher, reason="Drains too slowly.")
    else:
        recall.recall(run.lot, by=publisher, reason="A screw may be in the coffee.")
    assert waiting() == [run]
    count.count(run, Counts(48, 2, 6, 40), by=packer, leftovers="destroy")
    assert waiting() == []


def test_a_run_ordered_since_has_the_newest_revision_and_is_not_asked_about(packer: User) -> None:
    run = ready_run()
    next_revision(run)
    PackingRun.objects.update(ordered_at=timezone.now())
    assert waiting() == []


def test_what_is_destroyed_is_done_with(run: PackingRun, packer: User) -> None:
    settle.settle(run, "destroy", by=packer)
    next_revision(run)
    assert waiting() == []
    with refused("no copies of this run are left over", "state"):
        settle.settle(run, "destroy", by=packer)


def test_of_a_recalled_lot_they_can_only_be_destroyed(run: PackingRun, packer: User, publisher: User) -> None:
    recall.recall(run.lot, by=publisher, reason="A screw may be in the coffee.")
    assert waiting() == [run]
    with refused("destroy them", "leftovers"):
        settle.settle(run, "use", by=packer, use_until=NEXT_WEEK)
    settle.settle(run, "destroy", by=packer)
    assert waiting() == []


@pytest.mark.parametrize(
    ("leftovers", "until", "said", "field"),
    [
        ("", None, "used until a day or destroyed", "leftovers"),
        ("use", None, "name a day", "use_until"),
        ("destroy", NEXT_WEEK, "only for those", "use_until"),
        ("use", TODAY - datetime.timedelta(days=1), "that day is over", "use_until"),
    ],
)
def test_an_end_that_is_none_is_refused(
    run, packer: User, leftovers: str, until: object, said: str, field: str
) -> None:
    with refused(said, field):
        settle.settle(run, leftovers, by=packer, use_until=until)
    run.refresh_from_db()
    assert run.use_until == NEXT_WEEK


def test_counting_takes_no_day_that_is_over(packer: User) -> None:
    with refused("that day is over", "use_until"):
        yesterday = TODAY - datetime.timedelta(days=1)
        count.count(ready_run(), Counts(48, 2, 6, 40), by=packer, leftovers="use", use_until=yesterday)
