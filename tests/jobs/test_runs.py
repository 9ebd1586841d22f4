"""Who may hold a run, and what somebody may do who no longer does."""

import pytest

from guides.choices import JobState
from guides.jobs import runs
from guides.models import JobRun

pytestmark = [pytest.mark.django_db, pytest.mark.data]


@pytest.fixture
def run() -> JobRun:
    return JobRun.objects.create(kind="for_tests", arguments={"number": 7})


def test_a_waiting_run_is_taken_once(run):
    held = runs.claim(run.pk)
    assert held is not None
    assert (held.kind, held.arguments, held.attempts) == ("for_tests", {"number": 7}, 1)
    assert runs.claim(run.pk) is None
    run.refresh_from_db()
    assert run.state == JobState.RUNNING
    assert run.heartbeat_at is not None


@pytest.mark.parametrize("state", [JobState.DONE, JobState.FAILED, JobState.CANCELLED])
def test_a_closed_run_is_not_taken(run, state):
    JobRun.objects.filter(pk=run.pk).update(state=state)
    assert runs.claim(run.pk) is None


def test_a_report_renews_the_lease_and_tells_how_far_the_work_is(run, clock):
    held = runs.claim(run.pk)
    run.refresh_from_db()
    until = run.lease_until
    clock(30)
    held.report(3, 12)
    run.refresh_from_db()
    assert (run.done, run.total) == (3, 12)
    assert (run.lease_until - until).total_seconds() == 30


def test_a_finished_run_is_free_and_keeps_its_result(run):
    runs.claim(run.pk).finish({"inserts": 12})
    run.refresh_from_db()
    assert (run.state, run.result, run.lease_token) == (JobState.DONE, {"inserts": 12}, None)
    assert run.finished_at is not None


@pytest.mark.parametrize(
    "act",
    [
        lambda held: held.report(1, 2),
        lambda held: held.finish({}),
        lambda held: held.fail("broken"),
        lambda held: held.cancel(),
        lambda held: held.put_back("broken"),
        lambda held: held.give_back(),
    ],
)
def test_who_has_lost_the_lease_changes_nothing(run, act):
    late = runs.claim(run.pk)
    JobRun.objects.filter(pk=run.pk).update(state=JobState.WAITING, lease_token=None, lease_until=None)
    successor = runs.claim(run.pk)
    with pytest.raises(runs.LeaseLost):
        act(late)
    run.refresh_from_db()
    assert (run.state, run.lease_token) == (JobState.RUNNING, successor.token)


def test_a_run_given_back_has_not_used_an_attempt(run):
    runs.claim(run.pk).give_back()
    run.refresh_from_db()
    assert (run.state, run.attempts) == (JobState.WAITING, 0)


def test_cancelling_a_waiting_run_closes_it(run):
    assert runs.cancel(run)
    run.refresh_from_db()
    assert run.state == JobState.CANCELLED
    assert not runs.cancel(run)


def test_cancelling_a_running_run_reaches_its_worker_at_the_next_report(run):
    held = runs.claim(run.pk)
    assert runs.cancel(run)
    with pytest.raises(runs.Cancelled):
        held.report(1, 2)


def test_a_worker_told_to_stop_learns_it_at_the_next_report(run):
    held = runs.claim(run.pk)
    runs.stopping.set()
    with pytest.raises(runs.Stopping):
        held.report(1, 2)


def test_waits_grow():
    waits = [runs.wait_before(attempt).total_seconds() for attempt in range(1, runs.MAX_ATTEMPTS)]
    assert waits == [5, 20, 80, 320]
