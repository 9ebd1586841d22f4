"""From asking for work to its outcome."""

import pytest
from django_tasks_db.models import DBTaskResult

from guides.choices import JobState
from guides.jobs import runs, tasks
from guides.jobs.work import CannotBeDone
from guides.models import JobRun

pytestmark = [pytest.mark.django_db, pytest.mark.data]


def outcome(run: JobRun) -> JobRun:
    tasks.perform.call(run_id=str(run.pk))
    run.refresh_from_db()
    return run


def queued(run: JobRun):
    return DBTaskResult.objects.filter(args_kwargs__kwargs__run_id=str(run.pk))


def test_asking_for_work_puts_it_into_the_queue(kind):
    run = tasks.start(kind(lambda held: None), number=7)
    assert run.state == JobState.WAITING
    assert queued(run).count() == 1


def test_unknown_work_is_refused_before_anything_is_kept():
    with pytest.raises(KeyError):
        tasks.start("brewing")
    assert not JobRun.objects.exists()


def test_work_is_done_with_its_arguments(kind):
    run = outcome(tasks.start(kind(lambda held: {"twice": 2 * held.arguments["number"]}), number=7))
    assert (run.state, run.result, run.attempts) == (JobState.DONE, {"twice": 14}, 1)


def test_called_twice_it_is_done_once(kind):
    done = []
    run = tasks.start(kind(lambda held: done.append(held.attempts)))
    outcome(run)
    outcome(run)
    assert done == [1]


def test_a_mishap_is_tried_again_after_a_wait_and_then_works(kind, caplog):
    def at_the_second_attempt(held: runs.Held) -> str:
        if held.attempts == 1:
            raise OSError("No space left on device")
        return "made"

    run = outcome(tasks.start(kind(at_the_second_attempt)))
    assert (run.state, run.error) == (JobState.WAITING, "OSError: No space left on device")
    again = queued(run).latest("enqueued_at")
    assert 4 <= (again.run_after - again.enqueued_at).total_seconds() <= 5
    run = outcome(run)
    assert (run.state, run.result, run.error, run.attempts) == (JobState.DONE, "made", "", 2)


def test_what_never_works_is_given_up_with_the_reason(kind, caplog):
    def broken(held: runs.Held) -> None:
        raise OSError("No space left on device")

    run = tasks.start(kind(broken))
    for _attempt in range(runs.MAX_ATTEMPTS):
        assert run.state == JobState.WAITING
        run = outcome(run)
    assert (run.state, run.error) == (JobState.FAILED, "OSError: No space left on device")
    assert queued(run).count() == runs.MAX_ATTEMPTS


def test_a_refusal_is_not_tried_again(kind):
    def refused(held: runs.Held) -> None:
        raise CannotBeDone("Title: too wide for its column.")

    run = outcome(tasks.start(kind(refused)))
    assert (run.state, run.error) == (JobState.FAILED, "Title: too wide for its column.")
    assert queued(run).count() == 1


def test_cancelled_work_stops_where_it_is(kind):
    made = []

    def ten(held: runs.Held) -> None:
        for number in range(1, 11):
            made.append(number)
            if number == 3:
                runs.cancel(JobRun.objects.get(pk=held.run_id))
            held.report(number, 10)

    run = outcome(tasks.start(kind(ten)))
    assert (run.state, made) == (JobState.CANCELLED, [1, 2, 3])


def test_a_stopped_worker_hands_its_work_back(kind):
    def stopped(held: runs.Held) -> None:
        runs.stopping.set()
        held.report(1, 10)

    run = outcome(tasks.start(kind(stopped)))
    assert (run.state, run.attempts) == (JobState.WAITING, 0)
    assert queued(run).count() == 2


def test_a_worker_that_was_taken_for_dead_leaves_its_successor_alone(kind, caplog):
    def overtaken(held: runs.Held) -> str:
        JobRun.objects.filter(pk=held.run_id).update(
            state=JobState.DONE, lease_token=None, lease_until=None, result="by another"
        )
        return "too late"

    run = outcome(tasks.start(kind(overtaken)))
    assert (run.state, run.result) == (JobState.DONE, "by another")
    assert "taken over" in caplog.text
