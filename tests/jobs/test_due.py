"""What is due is started once, and done once, whatever happens to workers and clocks."""

from __future__ import annotations

import datetime

import pytest
from django.core.management import call_command
from django.utils import timezone

from guides.jobs import due, sweeper, tasks
from guides.lifecycle import schedule as room
from guides.lifecycle.approve import approve
from guides.lifecycle.review import submit
from guides.lifecycle.schedule import call_off, schedule
from guides.models import GuideVersion, JobRun
from tests.factories import GuideVersionFactory, UserFactory

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.data]
MINUTE = datetime.timedelta(minutes=1)


@pytest.fixture
def ripe() -> GuideVersion:
    """Approved, and its time has just come."""
    publisher, draft = UserFactory(role="publisher"), GuideVersionFactory()
    approve(submit(draft, by=draft.created_by), by=publisher, waiver_reason="Brewed it at the bench.")
    now = timezone.now()
    return schedule(draft, by=publisher, publish_at=now - MINUTE, at=now - 2 * MINUTE)


def runs_of(version: GuideVersion) -> list[str]:
    kept = JobRun.objects.filter(kind="publish_when_due", arguments__version_id=version.pk)
    return list(kept.values_list("state", flat=True))


def test_the_worker_publishes_what_is_due(ripe: GuideVersion) -> None:
    call_command("work", burst=True)
    ripe.refresh_from_db()
    assert (ripe.state, ripe.revision) == ("published", 1)
    assert runs_of(ripe) == ["done"]


def test_nothing_is_started_before_its_time_or_after_it_was_called_off(ripe: GuideVersion) -> None:
    schedule(ripe, by=ripe.publish_by, publish_at=timezone.now() + MINUTE)
    assert due.start_due() == 0
    call_off(ripe, by=UserFactory(role="publisher"), reason="The bags are late.")
    assert due.start_due() == 0


def test_however_often_it_is_looked_at_it_is_started_once(ripe: GuideVersion) -> None:
    assert [due.start_due() for _look in range(3)] == [1, 0, 0]
    assert runs_of(ripe) == ["waiting"]


def test_a_worker_killed_on_the_way_leaves_it_to_the_next(ripe: GuideVersion) -> None:
    due.start_due()
    run = JobRun.objects.get(kind="publish_when_due")
    tasks.runs.claim(run.pk)
    JobRun.objects.update(lease_until=timezone.now() - MINUTE)  # its worker is gone
    sweeper.sweep()
    call_command("work", burst=True)
    ripe.refresh_from_db()
    assert ripe.state == "published"
    assert JobRun.objects.get(pk=run.pk).attempts == 2


def test_a_worker_whose_clock_is_behind_gives_it_back(ripe: GuideVersion, monkeypatch: pytest.MonkeyPatch) -> None:
    due.start_due()
    with monkeypatch.context() as behind:
        behind.setattr(room.timezone, "now", lambda: ripe.publish_at - MINUTE)
        call_command("work", burst=True)
    ripe.refresh_from_db()
    run = JobRun.objects.get(kind="publish_when_due")
    assert (ripe.state, run.state, run.attempts) == ("in_review", "waiting", 0)
    tasks.perform.call(run_id=str(run.pk))
    ripe.refresh_from_db()
    assert ripe.state == "published"


def test_what_no_longer_holds_is_a_failed_job_that_says_why(ripe: GuideVersion) -> None:
    ripe.brewer.vessel.usable_ml = 120
    ripe.brewer.vessel.save()
    call_command("work", burst=True)
    ripe.refresh_from_db()
    assert (ripe.state, ripe.publish_at) == ("in_review", None)
    run = JobRun.objects.get(kind="publish_when_due")
    assert run.state == "failed"
    assert "the brewer would hold" in run.error
    assert due.start_due() == 0


def test_negative_control_without_the_look_nothing_is_published(
    ripe: GuideVersion, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(due, "start_due", lambda: 0)
    call_command("work", burst=True)
    ripe.refresh_from_db()
    assert ripe.state == "in_review"
