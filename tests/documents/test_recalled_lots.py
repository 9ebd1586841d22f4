"""Nothing of a recalled lot is printed, whichever way somebody asks for it."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.core.management import CommandError, call_command
from django.test import Client

from guides.choices import RunState
from guides.documents import orders, packing, printable
from guides.documents.errors import InsertRefused
from guides.documents.insert import insert_pdf
from guides.jobs import tasks
from guides.lifecycle import recall
from guides.lifecycle.errors import Refused
from guides.lifecycle.packing import make_again, order, release, reprint
from guides.models import JobRun, PackingRun, User
from tests.factories import PackingRunFactory, UserFactory, ready_run
from tests.factories.packed import packed

pytestmark = pytest.mark.django_db
SCREW = "A screw may be in the coffee."


@pytest.fixture(autouse=True)
def paper_folder(settings, tmp_path) -> None:
    papers = {**settings.STORAGES["papers"], "OPTIONS": {"location": tmp_path / "papers"}}
    settings.STORAGES = {**settings.STORAGES, "papers": papers}


@pytest.fixture
def desk(packer: User) -> Client:
    client = Client()
    client.force_login(packer)
    return client


def recalled(run: PackingRun) -> PackingRun:
    recall.recall(run.lot, by=UserFactory(role="publisher"), reason=SCREW)
    return PackingRun.objects.select_related("lot", "version").get(pk=run.pk)


def _wanted(run: PackingRun) -> PackingRun:
    return PackingRun(lot=run.lot, version=run.version, language="en", paper="insert-a6", sheet="a4", copies=4)


ASKED: dict[str, Callable[[PackingRun, User], object]] = {
    "order": lambda run, by: order.order(_wanted(run), by=by),
    "reprint": lambda run, by: reprint.reprint(run, 3, by=by),
    "an insert": lambda run, by: insert_pdf(run.lot, run.version, "en"),
    "a run's file": lambda run, by: packing.run_pdf(orders.order_of(run)),
    "the command": lambda run, by: call_command("render_inserts", run.lot.name, output="none.pdf"),
}


@pytest.mark.parametrize("way", ASKED)
def test_every_way_to_paper_is_shut(way: str, packer: User) -> None:
    run = recalled(ready_run())
    with pytest.raises((Refused, InsertRefused, CommandError), match="recalled"):
        ASKED[way](run, packer)


def test_a_run_that_was_refused_is_not_made_again(packer: User) -> None:
    run = PackingRunFactory()
    release.refuse(run, ["Title: no room."])
    with pytest.raises(Refused, match="recalled"):
        make_again.make_again(recalled(run), by=packer)


def test_the_worker_refuses_what_was_ordered_before(packer: User) -> None:
    run = order.order(_wanted(PackingRunFactory.build(bag=packed())), by=packer)
    job = JobRun.objects.create(kind="packing_run", arguments={"run_id": run.pk})
    recalled(run)
    tasks.perform.call(run_id=str(job.pk))
    run.refresh_from_db()
    assert (run.state, run.file) == (RunState.REFUSED, "")
    assert "recalled" in run.refused_because


def test_the_worker_that_makes_inserts_ahead_leaves_it_out() -> None:
    run = recalled(ready_run())
    job = tasks.start("inserts_of_version", version_id=run.version_id)
    tasks.perform.call(run_id=str(job.pk))
    job.refresh_from_db()
    assert job.result == {"inserts": 0}


def test_the_desk_hands_out_nothing(desk: Client) -> None:
    run = recalled(ready_run())
    for address in (
        f"/admin/guides/packingrun/{run.pk}/paper.pdf",
        f"/admin/guides/lot/{run.lot.pk}/insert/{run.version.guide.number}/en.pdf",
    ):
        answer = desk.get(address, follow=True)
        assert not answer.content.startswith(b"%PDF")
        assert "recalled" in answer.content.decode()


def test_negative_control_without_the_guard_it_is_printed(monkeypatch: pytest.MonkeyPatch) -> None:
    run = recalled(ready_run())
    monkeypatch.setattr(printable, "refuse_lot", lambda lot, code: None)
    assert insert_pdf(run.lot, run.version, "en").startswith(b"%PDF")
