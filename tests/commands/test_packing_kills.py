"""Workers killed at random moments while they make packing runs: every run is released, once, with its file whole."""

import json
import os

import pytest

from tests.commands.killing import FORK, UNSWEPT
from tests.commands.site import Site

pytestmark = [pytest.mark.django_db, pytest.mark.data]

KILLS = 200 if os.environ.get("FULL_COUNTS") == "1" else 6

ORDER = (
    FORK
    + """
from guides.documents import papers
from guides.lifecycle.packing.order_together import order_together
from guides.models import Event, PackingRun
from tests.factories import UserFactory

packer = UserFactory(username="ragna", role="packer")
bags = [assignment.lot for assignment in version.guide.assignments.order_by("pk")]

def ask(number):
    # A count of its own makes each file another one; every second file is of two lots.
    wanted = [
        PackingRun(lot=lot, version=version, language="en", paper="card-a7", sheet="a4", copies=1 + number)
        for lot in bags[:1 + number % 2]
    ]
    order_together(wanted, by=packer)

def ended():
    return not JobRun.objects.exclude(state="done").exists()
"""
)

KILL = (
    ORDER
    + """
chance = random.Random(KILLS)
for number in range(KILLS):
    ask(number)
    pids = [worker() for _worker in range(AT_ONCE)]
    time.sleep(chance.uniform(0.02, 1.5))
    for pid in pids:
        os.kill(pid, signal.SIGKILL)
        os.waitpid(pid, 0)

until = time.monotonic() + 300 + 5 * KILLS
while not ended() and time.monotonic() < until:
    for pid in [worker(burst=True) for _worker in range(AT_ONCE)]:
        os.waitpid(pid, 0)
    time.sleep(0.2)

runs_made = list(PackingRun.objects.all())
print(json.dumps({
    "runs": len(runs_made),
    "ready": sum(run.state == "ready" for run in runs_made),
    "files": len({run.file for run in runs_made if run.file}),
    "released once": Event.objects.filter(verb="released_run").values("details__run").distinct().count(),
    "released": Event.objects.filter(verb="released_run").count(),
    "cut short": sum(JobRun.objects.values_list("attempts", flat=True)) - JobRun.objects.count(),
    "damaged": sum(papers.kept_run(run.file) is None for run in runs_made),
    "halves": len([path for path in Path(settings.DATA_DIR, "papers").rglob("*.pdf") if
                   hashlib.sha256(path.read_bytes()).hexdigest() != path.stem]),
}))
"""
)


def test_killed_workers_lose_and_damage_no_packing_run(site_with_inserts: Site) -> None:
    """One worker on SQLite, three at once on PostgreSQL."""
    from django.db import connection

    at_once = 3 if connection.vendor == "postgresql" else 1
    killer = site_with_inserts.begin(f"KILLS, AT_ONCE = {KILLS}, {at_once}\n{KILL}")
    out, err = killer.communicate(timeout=360 + 12 * KILLS)
    assert killer.returncode == 0, err
    told = json.loads(out)
    print(f"{KILLS} times {at_once} workers killed: {told}")
    assert told["runs"] == told["ready"] == told["released"] == told["released once"] == KILLS + KILLS // 2
    assert told["files"] == KILLS
    assert told["damaged"] == told["halves"] == 0


def test_negative_control_without_a_sweeper_the_run_is_made_for_ever(site_with_inserts: Site) -> None:
    assert site_with_inserts.run(ORDER + UNSWEPT + "print(PackingRun.objects.get().state)").strip() == "making"
