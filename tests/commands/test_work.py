"""The worker as its keeper starts and stops it."""

import signal
import time
from collections.abc import Callable

import pytest
from django.core.management import call_command
from django.utils import timezone

from guides.choices import JobState
from guides.jobs import runs, tasks, work
from guides.models import JobRun
from tests.commands.site import Site

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.data]


@pytest.fixture
def three(monkeypatch: pytest.MonkeyPatch) -> list[JobRun]:
    monkeypatch.setitem(work.KINDS, "for_tests", lambda held: "made")
    return [tasks.start("for_tests") for _number in range(3)]


def states() -> list[str]:
    return list(JobRun.objects.order_by("created_at").values_list("state", flat=True))


def test_once_does_one_piece_of_work(three):
    call_command("work", once=True)
    assert states() == [JobState.DONE, JobState.WAITING, JobState.WAITING]


def test_burst_does_what_is_waiting(three):
    call_command("work", burst=True)
    assert states() == [JobState.DONE] * 3


def test_burst_leaves_what_is_to_wait(three):
    run = JobRun.objects.latest("created_at")
    JobRun.objects.exclude(pk=run.pk).delete()
    runs.cancel(run)
    again = JobRun.objects.create(kind="for_tests")
    tasks.queue(again.pk, runs.wait_before(4))
    call_command("work", burst=True)
    again.refresh_from_db()
    assert again.state == JobState.WAITING


def test_it_sweeps_when_it_starts(three, monkeypatch, capsys):
    held = runs.claim(three[0].pk)
    JobRun.objects.filter(pk=held.run_id).update(lease_until=timezone.now() - runs.lease())
    call_command("work", burst=True)
    assert states() == [JobState.DONE] * 3
    assert "1 taken up again" in capsys.readouterr().out


def test_signals_are_as_before_when_it_has_stopped(three):
    before = signal.getsignal(signal.SIGTERM)
    call_command("work", burst=True)
    assert signal.getsignal(signal.SIGTERM) is before


SLOW = """
import time
from django.core.management import call_command
from guides.jobs import tasks, work

def slow(held):
    for number in range(1, 1000):
        time.sleep(0.02)
        held.report(number, 1000)

work.KINDS["slow"] = slow
print(tasks.start("slow").pk, flush=True)
call_command("work")
print("stopped", flush=True)
"""
STATE = "from guides.models import JobRun; run = JobRun.objects.get(); print(run.state, run.attempts, run.done > 0)"


def test_sigterm_hands_work_back_and_ends_well(new_site: Callable[[], Site]):
    site = new_site()
    site.set_up()
    worker = site.begin(SLOW)
    worker.stdout.readline()
    assert waited(lambda: site.run(STATE).split() == ["running", "1", "True"])
    worker.send_signal(signal.SIGTERM)
    out, err = worker.communicate(timeout=20)
    assert worker.returncode == 0, err
    assert "stopped" in out
    assert site.run(STATE).split() == ["waiting", "0", "True"]


def test_sigterm_ends_an_idle_worker_at_once(new_site: Callable[[], Site]):
    site = new_site()
    site.set_up()
    worker = site.begin("from django.core.management import call_command; call_command('work', interval=60)")
    assert "Working" in worker.stdout.readline()
    told = time.monotonic()
    worker.send_signal(signal.SIGTERM)
    worker.communicate(timeout=20)
    assert worker.returncode == 0
    assert time.monotonic() - told < 5


def waited(holds: Callable[[], bool], seconds: float = 30) -> bool:
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        if holds():
            return True
    return False
