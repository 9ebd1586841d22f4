"""The life of a packing run: who may order it, what stops it, and that every copy is accounted for."""

from __future__ import annotations

import datetime

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from guides.choices import JobState, Leftovers, RunState, Verb
from guides.lifecycle import recall, withdraw
from guides.lifecycle.errors import Refused
from guides.lifecycle.packing import cancel, count, make_again, order, release, reprint
from guides.lifecycle.packing.count import Counts
from guides.models import Event, JobRun, PackingRun, User
from tests.factories import UserFactory
from tests.factories.packed import packed

pytestmark = [pytest.mark.django_db, pytest.mark.data]

NEXT_WEEK = timezone.localdate() + datetime.timedelta(days=7)


def wanted(**other: object) -> PackingRun:
    lot, version = packed()
    return PackingRun(**{"lot": lot, "version": version, "language": "en", "paper": "insert-a6", "copies": 45, **other})


@pytest.fixture
def ordered(packer: User) -> PackingRun:
    return order.order(wanted(sheet="a4"), by=packer)


@pytest.fixture
def ready(ordered: PackingRun) -> PackingRun:
    assert release.release(ordered, "runs/ab/abc.pdf")
    ordered.refresh_from_db()
    return ordered


def verbs(run: PackingRun) -> list[str]:
    return list(Event.objects.filter(lot=run.lot, details__run=run.pk).order_by("pk").values_list("verb", flat=True))


def test_a_packer_orders_prints_and_counts(ready: PackingRun, packer: User) -> None:
    assert ready.state == RunState.READY
    done = count.count(
        ready,
        Counts(printed=48, spoiled=2, left_over=6, packed=40),
        by=packer,
        leftovers=Leftovers.USE,
        use_until=NEXT_WEEK,
    )
    assert (done.state, done.packed, done.counted_by) == (RunState.COUNTED, 40, packer)
    assert verbs(ready) == [Verb.ORDERED_RUN, Verb.RELEASED_RUN, Verb.COUNTED_RUN]


@pytest.mark.parametrize("role", ["reader", "shop"])
def test_others_may_not(role: str) -> None:
    with pytest.raises(Refused, match="may not print inserts"):
        order.order(wanted(), by=UserFactory(role=role))
    assert not PackingRun.objects.exists()


@pytest.mark.parametrize("copies", [0, 5001])
def test_a_count_out_of_range_is_refused(packer: User, copies: int) -> None:
    with pytest.raises(Refused, match="one run prints 1 to 5000"):
        order.order(wanted(copies=copies), by=packer)


def test_nothing_is_ordered_for_a_recalled_lot(packer: User, publisher: User) -> None:
    run = wanted()
    recall.recall(run.lot, by=publisher, reason="A screw may be in the coffee.")
    with pytest.raises(Refused, match="recalled"):
        order.order(run, by=packer)


def test_nothing_is_ordered_for_a_withdrawn_guide(packer: User, publisher: User) -> None:
    run = wanted()
    run.version = withdraw.withdraw(run.version, by=publisher, reason="Drains too slowly.")
    with pytest.raises(Refused, match="withdrawn"):
        order.order(run, by=packer)


def test_a_lot_recalled_while_its_run_is_made_is_not_released(ordered: PackingRun, publisher: User) -> None:
    recall.recall(ordered.lot, by=publisher, reason="A screw may be in the coffee.")
    assert not release.release(ordered, "runs/ab/abc.pdf")
    ordered.refresh_from_db()
    assert (ordered.state, ordered.file) == (RunState.REFUSED, "")
    assert "recalled" in ordered.refused_because


def test_a_cancelled_run_is_not_released(ordered: PackingRun, packer: User) -> None:
    ordered.job = JobRun.objects.create(kind="packing_run")
    ordered.save()
    cancel.cancel(ordered, by=packer)
    assert not release.release(ordered, "runs/ab/abc.pdf")
    ordered.refresh_from_db()
    assert ordered.state == RunState.CANCELLED
    assert JobRun.objects.get().cancel_wanted


def test_a_refused_run_can_be_made_again(ordered: PackingRun, packer: User) -> None:
    release.refuse(ordered, ["Title: no room left for it."])
    again = make_again.make_again(ordered, by=packer)
    assert (again.state, again.refused_because) == (RunState.MAKING, "")


@pytest.mark.parametrize(("job", "allowed"), [(None, True), (JobState.FAILED, True), (JobState.WAITING, False)])
def test_a_run_whose_work_got_lost_can_be_made_again(
    ordered: PackingRun, packer: User, job: JobState | None, allowed: bool
) -> None:
    PackingRun.objects.update(job=JobRun.objects.create(kind="packing_run", state=job) if job else None)
    if allowed:
        assert make_again.make_again(ordered, by=packer).state == RunState.MAKING
    else:
        with pytest.raises(Refused, match="being made"):
            make_again.make_again(ordered, by=packer)


def test_reprints_keep_everything_and_are_numbered(ready: PackingRun, packer: User) -> None:
    first, second = (reprint.reprint(ready, 3, by=packer) for _time in range(2))
    assert [run.mark for run in (ready, first, second)] == ["", "R1", "R2"]
    release.release(second, "runs/ab/abd.pdf")
    second.refresh_from_db()
    third = reprint.reprint(second, 1, by=packer)
    assert (third.mark, third.reprint_of) == ("R3", ready)
    for field in ("lot_id", "version_id", "language", "paper", "sheet", "flip"):
        assert getattr(third, field) == getattr(ready, field)


def test_what_was_never_released_is_not_reprinted(ordered: PackingRun, packer: User) -> None:
    with pytest.raises(Refused, match="released"):
        reprint.reprint(ordered, 3, by=packer)


@pytest.mark.parametrize(
    ("counts", "options", "said"),
    [
        (Counts(48, 2, 6, 39), {}, "1 to find"),
        (Counts(48, -2, 10, 40), {}, "below 0"),
        (Counts(48, 2, 6, 40), {}, "used until a day or destroyed"),
        (Counts(48, 2, 6, 40), {"leftovers": "use"}, "name a day"),
        (Counts(48, 8, 0, 40), {"use_until": NEXT_WEEK}, "name a day"),
    ],
)
def test_copies_that_are_not_accounted_for_are_refused(
    ready: PackingRun, packer: User, counts: Counts, options: dict, said: str
) -> None:
    with pytest.raises(Refused, match=said):
        count.count(ready, counts, by=packer, **options)
    ready.refresh_from_db()
    assert ready.state == RunState.READY


def test_a_counted_run_stays(ready: PackingRun, packer: User) -> None:
    count.count(ready, Counts(40, 0, 0, 40), by=packer)
    with pytest.raises(Refused, match="cannot become"):
        count.count(ready, Counts(41, 0, 0, 41), by=packer)


@given(st.tuples(*[st.integers(0, 100)] * 4))
def test_counts_are_taken_exactly_when_they_add_up(counts: tuple[int, int, int, int]) -> None:
    refusals = count.refusals(Counts(*counts))
    assert bool(refusals) == (counts[0] != sum(counts[1:]))


def test_the_database_itself_refuses_counts_that_do_not_add_up(ready: PackingRun, packer: User) -> None:
    count.count(ready, Counts(40, 0, 0, 40), by=packer)
    with pytest.raises(IntegrityError), transaction.atomic():
        PackingRun.objects.filter(pk=ready.pk).update(packed=39)
    with pytest.raises(IntegrityError), transaction.atomic():
        PackingRun.objects.filter(pk=ready.pk).update(counted_by=None)


@pytest.mark.parametrize(
    ("packed", "bags", "said"),
    [(40, 42, "2 of 42 have none"), (40, 38, "40 copies were packed into 38 bags"), (48, -1, "none can be below 0")],
)
def test_bags_that_differ_need_a_reason(ready: PackingRun, packer: User, packed: int, bags: int, said: str) -> None:
    counts = Counts(printed=packed, spoiled=0, left_over=0, packed=packed, bags=bags)
    with pytest.raises(Refused, match=said):
        count.count(ready, counts, by=packer, difference="  ")
    if bags > 0:
        done = count.count(ready, counts, by=packer, difference="Samples went out without one.")
        assert (done.bags, done.difference) == (bags, "Samples went out without one.")
        told = Event.objects.get(verb=Verb.COUNTED_RUN).details
        assert (told["bags"], told["difference"]) == (bags, "Samples went out without one.")


def test_bags_that_agree_need_none(ready: PackingRun, packer: User) -> None:
    assert count.count(ready, Counts(40, 0, 0, 40, bags=40), by=packer).bags == 40


def test_a_reason_without_bags_says_nothing(ready: PackingRun, packer: User) -> None:
    with pytest.raises(Refused, match="count the bags too"):
        count.count(ready, Counts(40, 0, 0, 40), by=packer, difference="Samples went out without one.")
