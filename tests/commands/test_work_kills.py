"""Workers killed at random moments while they make inserts: nothing lost, nothing damaged."""

import json
import os

import pytest

from tests.commands.killing import FORK, UNSWEPT
from tests.commands.site import Site

pytestmark = [pytest.mark.django_db, pytest.mark.data]

KILLS = 200 if os.environ.get("FULL_COUNTS") == "1" else 6

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


def test_killed_workers_lose_and_damage_nothing(site_with_inserts: Site) -> None:
    killer = site_with_inserts.begin(f"KILLS = {KILLS}\n{KILL}")
    out, err = killer.communicate(timeout=360 + 10 * KILLS)
    assert killer.returncode == 0, err
    told = json.loads(out)
    print(f"{KILLS} worker kills: {told}")
    assert told["runs"] == told["done"] == KILLS
    assert told["damaged"] == 0
    assert told["papers"] >= KILLS


def test_negative_control_without_a_sweeper_the_work_is_lost(site_with_inserts: Site) -> None:
    assert site_with_inserts.run(FORK + UNSWEPT + "print(JobRun.objects.get().state)").strip() == "running"
