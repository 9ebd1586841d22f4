"""Counts of openings, through the end of the process that made them: a quiet one, and one that is killed."""

import pytest

from tests.commands.site import Site

pytestmark = [pytest.mark.django_db, pytest.mark.data]

FILL = "from tests.factories import GuideFactory; GuideFactory()"
NOTE = """
import os, signal, time
from django.conf import settings
from guides.lifecycle import opens
from guides.models import Guide
from django.db import connections
settings.OPENS_ADDED_EVERY_S = {every}
guide = Guide.objects.get().pk
connections.close_all()
for _ in range(100):
    opens.note(guide)
"""
KILLED = """
time.sleep(2)
for _ in range(7):
    opens.note(guide)
os.kill(os.getpid(), signal.SIGKILL)
"""
COUNTED = "from guides.models import GuideOpens; print(sum(GuideOpens.objects.values_list('times', flat=True)))"


@pytest.fixture
def site(new_site) -> Site:
    made = new_site()
    made.set_up()
    made.run(FILL)
    return made


def test_processes_that_end_add_everything_they_counted(site):
    processes = [site.begin(NOTE.format(every=600)) for _ in range(3)]
    for process in processes:
        _out, err = process.communicate(timeout=120)
        assert process.returncode == 0, err
    assert int(site.run(COUNTED)) == 300


def test_a_killed_process_loses_the_last_moments_and_no_more(site):
    """Therefore "at least". The control is in the number: had the thread not added, it would be 0."""
    process = site.begin(NOTE.format(every=0.2) + KILLED)
    process.communicate(timeout=120)
    assert process.returncode < 0
    counted = int(site.run(COUNTED))
    print(f"killed: {counted} of 107")
    assert 100 <= counted <= 107
