"""Runs of several lots in one file: made, released, refused and stopped as one; counted and printed again by lot."""

from __future__ import annotations

import pytest

from guides.choices import RunState, Verb
from guides.lifecycle import recall
from guides.lifecycle.errors import Refused
from guides.lifecycle.packing import cancel, count, make_again, release, reprint
from guides.lifecycle.packing.count import Counts
from guides.lifecycle.packing.order_together import order_together
from guides.models import Event, PackingRun, User
from guides.queries import packing_runs
from tests.factories import UserFactory
from tests.factories.packed import packed

pytestmark = [pytest.mark.django_db, pytest.mark.data]


def wanted(**other: object) -> PackingRun:
    lot, version = packed()
    return PackingRun(**{"lot": lot, "version": version, "language": "en", "paper": "card-a7", "copies": 8, **other})


@pytest.fixture
def ordered(packer: User) -> list[PackingRun]:
    return order_together([wanted() for _lot in range(3)], by=packer)


def states(runs: list[PackingRun]) -> set[str]:
    return {run.state for run in packing_runs.with_file_of(runs[0])}


def test_each_lot_has_a_run_of_its_own_in_the_order_packed(ordered: list[PackingRun], packer: User) -> None:
    for run in ordered:
        assert list(packing_runs.with_file_of(run)) == ordered
        assert Event.objects.get(lot=run.lot, verb=Verb.ORDERED_RUN).details["run"] == run.pk
    other = order_together([wanted()], by=packer)
    assert other[0].together is None  # one lot is an ordinary run
    assert list(packing_runs.with_file_of(other[0])) == other


def test_released_together_and_counted_by_lot(ordered: list[PackingRun], packer: User) -> None:
    assert release.release(ordered[1], "runs/ab/abc.pdf")
    assert states(ordered) == {RunState.READY}
    assert {run.file for run in PackingRun.objects.all()} == {"runs/ab/abc.pdf"}
    count.count(ordered[1], Counts(printed=8, spoiled=3, left_over=0, packed=5), by=packer)
    assert [run.state for run in packing_runs.with_file_of(ordered[0])] == ["ready", "counted", "ready"]
    ordered[1].refresh_from_db()
    again = reprint.reprint(ordered[1], 3, by=packer)
    assert (again.lot, again.mark, again.together) == (ordered[1].lot, "R1", None)


def test_one_refused_lot_refuses_the_file_and_says_which(ordered: list[PackingRun], publisher: User) -> None:
    recall.recall(ordered[2].lot, by=publisher, reason="A screw may be in the coffee.")
    assert not release.release(ordered[0], "runs/ab/abc.pdf")
    assert states(ordered) == {RunState.REFUSED}
    (said,) = {run.refused_because for run in PackingRun.objects.all()}
    assert said.startswith(f"Lot: {ordered[2].lot.name} is recalled")


def test_stopped_and_made_again_as_one(ordered: list[PackingRun], packer: User) -> None:
    cancel.cancel(ordered[1], by=packer)
    assert states(ordered) == {RunState.CANCELLED}
    assert not release.release(ordered[0], "runs/ab/abc.pdf")
    make_again.make_again(ordered[2], by=packer)
    assert states(ordered) == {RunState.MAKING}
    release.refuse(ordered[0], ["Title is too long."])
    assert states(ordered) == {RunState.REFUSED}


def test_what_cannot_share_a_file_is_refused_and_nothing_is_ordered(packer: User) -> None:
    one, two = wanted(), wanted()
    twice = PackingRun(lot=one.lot, version=one.version, language="en", paper="card-a7", copies=8)
    for runs, said in (
        ([], "1 to 100"),
        ([one, twice], f"{one.lot.name} is named twice"),
        ([one, wanted(paper="insert-a6")], "one format"),
        ([one, wanted(copies=4993)], "5001 together; one file holds 5000"),
        ([one, wanted(copies=0)], "one run prints 1 to 5000"),
    ):
        with pytest.raises(Refused, match=said):
            order_together(runs, by=packer)
    with pytest.raises(Refused, match="may not print inserts"):
        order_together([one, two], by=UserFactory(role="reader"))
    assert not PackingRun.objects.exists()
