"""Workers killed at random moments while they make inserts: nothing lost, nothing damaged.

The workers are forked from one process that has loaded the PDF engine, so that most kills hit them at work and not
while they start.
"""

import json
import os
from collections.abc import Callable

import pytest

from tests.commands.site import Site

pytestmark = [pytest.mark.django_db, pytest.mark.data]

KILLS = 200 if os.environ.get("FULL_COUNTS") == "1" else 6

FILL = """
from django_tasks_db.models import DBTaskResult
from guides.models import JobRun, Roastery
from tests.factories.packed import packed
Roastery.objects.create(name="Mossgull Roasting Room")
_lot, version = packed()
packed(version)
# Publishing has asked for its inserts already.
JobRun.objects.all().delete()
DBTaskResult.objects.all().delete()
"""

FORK = """
import hashlib, json, os, random, signal, sys, time
from pathlib import Path
import pypdfium2
from django.conf import settings
from django.core.management import call_command
from django.db import connections
from guides.documents import render
from guides.jobs import runs, sweeper, tasks
from guides.models import GuideVersion, JobRun, Roastery

settings.JOB_LEASE_S = 2
# Here every worker is killed, so that being killed says nothing about the work.
runs.MAX_ATTEMPTS = 1000
render._engine()
version = GuideVersion.objects.get()

def worker(**options):
    connections.close_all()
    pid = os.fork()
    if pid == 0:
        with open(os.devnull, "w") as silence:
            sys.stdout = silence
            call_command("work", interval=0.05, **options)
            os._exit(0)
    return pid

def ask(number):
    # A name of its own, so that there is something to make.
    Roastery.objects.update(name=f"Mossgull Roasting Room {number}")
    tasks.start("inserts_of_version", version_id=version.pk)

def working():
    return JobRun.objects.filter(state="running").exists()
"""

KILL = (
    FORK
    + """
chance = random.Random(KILLS)
for number in range(KILLS):
    ask(number)
    pid = worker()
    time.sleep(chance.uniform(0.02, 1.5))
    os.kill(pid, signal.SIGKILL)
    os.waitpid(pid, 0)

until = time.monotonic() + 300 + 5 * KILLS
while JobRun.objects.exclude(state="done").exists() and time.monotonic() < until:
    number += 1
    Roastery.objects.update(name=f"Mossgull Roasting Room {number}")
    os.waitpid(worker(once=True), 0)

papers = list(Path(settings.DATA_DIR, "papers").rglob("*.pdf"))
for paper in papers:
    pypdfium2.PdfDocument(paper).close()
print(json.dumps({
    "runs": JobRun.objects.count(),
    "done": JobRun.objects.filter(state="done").count(),
    "cut short": sum(JobRun.objects.values_list("attempts", flat=True)) - JobRun.objects.count(),
    "papers": len(papers),
    "damaged": sum(hashlib.sha256(paper.read_bytes()).hexdigest() != paper.stem for paper in papers),
}))
"""
)

NO_SWEEPER = (
    FORK
    + """
sweeper.sweep = sweeper.Swept
ask(0)
pid = worker()
while not working():
    time.sleep(0.02)
os.kill(pid, signal.SIGKILL)
os.waitpid(pid, 0)
time.sleep(3)
os.waitpid(worker(burst=True), 0)
print(JobRun.objects.get().state)
"""
)


@pytest.fixture
def site(new_site: Callable[[], Site]) -> Site:
    site = new_site()
    site.set_up()
    site.run(FILL)
    return site


def test_killed_workers_lose_and_damage_nothing(site):
    killer = site.begin(f"KILLS = {KILLS}\n{KILL}")
    out, err = killer.communicate(timeout=360 + 10 * KILLS)
    assert killer.returncode == 0, err
    told = json.loads(out)
    print(f"{KILLS} worker kills: {told}")
    assert told["runs"] == told["done"] == KILLS
    assert told["damaged"] == 0
    assert told["papers"] >= KILLS


def test_negative_control_without_a_sweeper_the_work_is_lost(site):
    assert site.run(NO_SWEEPER).strip() == "running"
