"""Scripts for a site whose workers are killed.

The workers are forked from one process that has loaded the PDF engine, so that most kills hit them at work and not
while they start.
"""

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

# Nobody sweeps up behind the one worker that is killed at work; the next does what it finds to do.
UNSWEPT = """
sweeper.sweep = sweeper.Swept
ask(0)
pid = worker()
while not working():
    time.sleep(0.02)
os.kill(pid, signal.SIGKILL)
os.waitpid(pid, 0)
time.sleep(3)
os.waitpid(worker(burst=True), 0)
"""
