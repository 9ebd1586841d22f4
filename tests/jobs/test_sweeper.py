"""Work whose worker died is found and goes on; work in good hands is left alone."""

import pytest
from django.core.management import call_command
from django_tasks.base import TaskResultStatus
from django_tasks_db.models import DBTaskResult

from guides.choices import JobState
from guides.jobs import runs, sweeper, tasks
from guides.jobs.sweeper import Swept
from guides.models import JobRun

# The worker commits, and closes connections that look old.
pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.data]


@pytest.fixture
def dead(kind) -> JobRun:
    """A run whose worker was killed: its queue task and its row both say it is running."""
    run = tasks.start(kind(lambda held: "made"))
    DBTaskResult.objects.update(status=TaskResultStatus.RUNNING)
    runs.claim(run.pk)
    return run


def state(run: JobRun) -> str:
    run.refresh_from_db()
    return run.state


def test_an_expired_lease_is_taken_up_again(dead, clock):
    clock(61)
    assert sweeper.sweep() == Swept(queued=1, closed=0)
    assert state(dead) == JobState.WAITING
    call_command("work", burst=True)
    assert state(dead) == JobState.DONE
    assert not DBTaskResult.objects.filter(status=TaskResultStatus.RUNNING).exists()


def test_negative_control_without_the_sweeper_it_runs_for_ever(dead, clock, monkeypatch):
    monkeypatch.setattr(sweeper, "sweep", Swept)
    clock(24 * 60 * 60)
    call_command("work", burst=True)
    assert state(dead) == JobState.RUNNING


def test_a_lease_in_force_is_left_alone(dead, clock):
    clock(59)
    assert sweeper.sweep() == Swept()
    assert state(dead) == JobState.RUNNING


def test_a_report_between_looking_and_acting_wins(dead, clock, monkeypatch):
    clock(61)
    (expired,) = JobRun.objects.filter(state=JobState.RUNNING)
    JobRun.objects.update(lease_until=expired.lease_until + runs.lease() * 2)
    assert sweeper._recover(expired) is None
    assert state(dead) == JobState.RUNNING


def test_work_that_keeps_killing_its_worker_is_given_up(dead, clock):
    JobRun.objects.update(attempts=runs.MAX_ATTEMPTS)
    clock(61)
    assert sweeper.sweep() == Swept(queued=0, closed=1)
    assert state(dead) == JobState.FAILED
    assert "5 times" in dead.error


def test_work_that_was_to_be_cancelled_is_not_begun_again(dead, clock):
    runs.cancel(dead)
    clock(61)
    assert sweeper.sweep() == Swept(queued=0, closed=1)
    assert state(dead) == JobState.CANCELLED


def test_a_worker_that_died_before_it_took_the_run(kind):
    run = tasks.start(kind(lambda held: "made"))
    DBTaskResult.objects.update(status=TaskResultStatus.RUNNING)
    assert sweeper.sweep() == Swept(queued=1)
    call_command("work", burst=True)
    assert state(run) == JobState.DONE


def test_a_run_that_waits_in_the_queue_is_not_queued_twice(kind):
    run = tasks.start(kind(lambda held: None))
    tasks.queue(run.pk, runs.wait_before(3))
    DBTaskResult.objects.earliest("enqueued_at").delete()
    assert sweeper.sweep() == Swept()
