"""Left over inserts at the desk: told at the start, settled in two clicks, named before more are made."""

from __future__ import annotations

import datetime

import pytest
from django.utils import timezone

from guides.admin import waiting
from guides.lifecycle.draft import open_next
from guides.lifecycle.packing import count
from guides.models import PackingRun, User
from tests.factories import UserFactory, published, ready_run

from .addresses import act

pytestmark = pytest.mark.django_db
NEXT_WEEK = timezone.localdate() + datetime.timedelta(days=7)


@pytest.fixture
def run(packer: User) -> PackingRun:
    counts = count.Counts(printed=48, spoiled=2, left_over=6, packed=40)
    return count.count(ready_run(), counts, by=packer, leftovers="use", use_until=NEXT_WEEK)


def test_the_start_says_it_when_they_are_superseded(at_desk, text_of, packer: User, run: PackingRun) -> None:
    assert waiting.sections(packer) == []
    published(open_next(run.version.guide, by=UserFactory(role="roaster")))
    (section,) = waiting.sections(packer)
    (line,) = section.lines
    assert (section.key, line.note, line.address) == ("leftovers", "revision 2 is out", act(run, "settle"))
    desk = at_desk(packer)
    assert desk.get(section.address).context["cl"].result_count == 1
    assert desk.post(line.address, {"leftovers": "use", "use_until": ""}).status_code == 409
    assert desk.post(line.address, {"leftovers": "destroy", "use_until": ""}).status_code == 302
    assert waiting.sections(packer) == []


def test_they_are_named_before_more_are_made(at_desk, text_of, packer: User, run: PackingRun) -> None:
    page = text_of(at_desk(packer).get("/admin/guides/packingrun/pack/", {"lot": run.lot.name}))
    assert f"6 left over copies of {run.version.title}, revision 1" in page


def test_the_start_leads_to_counting_what_nobody_counted(at_desk, packer: User) -> None:
    run = ready_run()
    published(open_next(run.version.guide, by=UserFactory(role="roaster")))
    (section,) = waiting.sections(packer)
    (line,) = section.lines
    assert (section.key, line.note, line.address) == ("leftovers", "revision 2 is out", act(run, "count"))
    assert line.text.startswith("not counted: 45 of")
    assert at_desk(packer).get(section.address).context["cl"].result_count == 1
