"""A packing run made in the background: released with its file, refused with its reasons, or stopped."""

from __future__ import annotations

import hashlib

import pytest

from guides.choices import JobState, RunState
from guides.documents import papers, read_back
from guides.jobs import orders, sweeper, tasks
from guides.lifecycle import recall
from guides.lifecycle.packing import cancel, make_again, order
from guides.lifecycle.packing.order_together import order_together
from guides.models import Event, JobRun, PackingRun, User
from tests.factories import ValveVersionFactory, published
from tests.factories.packed import packed

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.data]


@pytest.fixture(autouse=True)
def paper_folder(settings, tmp_path) -> None:
    papers_storage = {**settings.STORAGES["papers"], "OPTIONS": {"location": tmp_path / "papers"}}
    settings.STORAGES = {**settings.STORAGES, "papers": papers_storage}


def ordered(by: User, **version: object) -> PackingRun:
    lot, made = packed(published(ValveVersionFactory(**version)))
    run = PackingRun(lot=lot, version=made, language="en", paper="card-a7", sheet="a4", copies=9)
    return order.order(run, by=by)


def worked(run: PackingRun) -> tuple[PackingRun, JobRun]:
    run.refresh_from_db()
    assert run.job is not None
    tasks.perform.call(run_id=str(run.job.pk))
    run.refresh_from_db()
    return run, JobRun.objects.get(pk=run.job_id)


def test_an_order_is_made_and_released_with_its_file(packer: User) -> None:
    run, job = worked(ordered(packer))
    assert (run.state, job.state) == (RunState.READY, JobState.DONE)
    assert (job.done, job.total, job.result) == (6, 6, {"copies": 9, "sheets": 2})
    pdf = papers.kept_run(run.file)
    assert pdf is not None
    assert hashlib.sha256(pdf).hexdigest() in run.file
    assert len(read_back.read(pdf).symbols) == 1 + 9


def test_a_text_that_cannot_be_set_refuses_the_run_and_says_which(packer: User) -> None:
    run, job = worked(ordered(packer, title="W" * 80))
    assert (run.state, job.state) == (RunState.REFUSED, JobState.FAILED)
    assert "Title" in run.refused_because
    assert run.file == ""


def test_a_lot_recalled_in_the_meantime_is_not_printed(packer: User, publisher: User) -> None:
    run = ordered(packer)
    recall.recall(run.lot, by=publisher, reason="A screw may be in the coffee.")
    run, job = worked(run)
    assert (run.state, job.state) == (RunState.REFUSED, JobState.FAILED)
    assert "recalled" in run.refused_because


def test_a_cancelled_order_is_not_made(packer: User) -> None:
    run = ordered(packer)
    run.refresh_from_db()
    cancel.cancel(run, by=packer)
    run, job = worked(run)
    assert (run.state, job.state) == (RunState.CANCELLED, JobState.CANCELLED)


def test_done_twice_it_is_the_same_file(packer: User) -> None:
    """A worker killed after keeping the file leaves it behind; the next one finds it and releases it."""
    run = ordered(packer)
    first, _job = worked(run)
    name = first.file
    PackingRun.objects.update(state=RunState.MAKING, file="")
    JobRun.objects.update(state=JobState.FAILED)
    # The act a packer has for a run whose work got lost.
    run, _job = worked(make_again.make_again(PackingRun.objects.get(), by=packer))
    assert run.file == name


def test_a_file_that_was_damaged_is_not_handed_over(packer: User, settings) -> None:
    run, _job = worked(ordered(packer))
    path = settings.STORAGES["papers"]["OPTIONS"]["location"] / run.file
    path.chmod(0o644)
    path.write_bytes(path.read_bytes() + b"x")
    assert papers.kept_run(run.file) is None


def test_a_worker_killed_after_handing_over_leaves_nothing_to_do(packer: User) -> None:
    run, _job = worked(ordered(packer))
    JobRun.objects.update(state=JobState.WAITING)
    again, job = worked(run)
    assert (again.state, again.file, job.state) == (RunState.READY, run.file, JobState.DONE)
    assert Event.objects.filter(verb="released_run").count() == 1


def test_an_order_whose_start_was_lost_is_picked_up(packer: User, monkeypatch: pytest.MonkeyPatch, clock) -> None:
    """The site is killed between keeping the order and asking for the work."""
    with monkeypatch.context() as killed:
        killed.setattr(orders, "start", lambda run_id: False)
        run = ordered(packer)
    sweeper.sweep()
    assert not JobRun.objects.filter(kind="packing_run").exists()  # it may be on its way
    clock(61)
    sweeper.sweep()
    sweeper.sweep()
    assert JobRun.objects.filter(kind="packing_run").count() == 1
    assert worked(run)[0].state == RunState.READY


def test_negative_control_without_the_sweeper_it_waits_for_ever(packer: User, monkeypatch, clock) -> None:
    monkeypatch.setattr(orders, "start", lambda run_id: False)
    ordered(packer)
    clock(24 * 60 * 60)
    sweeper.sweep()
    assert not JobRun.objects.filter(kind="packing_run").exists()


def test_a_format_that_is_known_no_more_is_refused_and_not_tried_again(packer: User) -> None:
    run = ordered(packer)
    PackingRun.objects.update(paper="poster")
    run, job = worked(run)
    assert (run.state, job.state, job.attempts) == (RunState.REFUSED, JobState.FAILED, 1)
    assert "poster" in run.refused_because


def test_several_lots_are_made_by_one_job_into_one_file(packer: User) -> None:
    bags = [packed(published(ValveVersionFactory())) for _lot in range(2)]
    first, second = order_together(
        [
            PackingRun(lot=lot, version=version, language="en", paper="card-a7", sheet="a4", copies=9)
            for lot, version in bags
        ],
        by=packer,
    )
    second.refresh_from_db()
    made, job = worked(first)
    other, same = worked(second)  # done already
    assert job == same
    assert (made.state, other.state, made.file) == (RunState.READY, RunState.READY, other.file)
    # A slip and two sheets of eight for each.
    assert (job.state, job.total, job.result) == (JobState.DONE, 3 + 6, {"copies": 18, "sheets": 4})
    pdf = papers.kept_run(made.file)
    assert pdf is not None
    assert len(read_back.read(pdf).symbols) == 2 * (1 + 9)
