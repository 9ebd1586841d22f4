"""The start of the desk after years of work: as many queries as on a new site, and few rows of the many."""

from __future__ import annotations

import datetime
import time

import pytest
from django.utils import timezone

from guides.admin import waiting
from guides.choices import JobState, Opened
from guides.lifecycle import review
from guides.models import GuideOpens, JobRun, Lot, Question, Roastery, TrialBrew
from tests.factories import GuideVersionFactory, LotFactory, UserFactory, published
from tests.factories.busy import busy_site
from tests.factories.trials import missed_window
from tests.queries.reading import Read, reading

pytestmark = [pytest.mark.django_db, pytest.mark.data]


def _asked(desk) -> tuple[Read, float]:
    start = time.perf_counter()
    with reading() as read:
        assert desk.get("/admin/").status_code == 200
    return read, time.perf_counter() - start


def test_a_busy_site_answers_in_as_many_queries_as_a_new_one_and_reads_few_of_its_rows(at_desk, publisher):
    Roastery.objects.create(name="Mossgull Roasting Room", languages=["en", "sv", "fi"])
    desk = at_desk(publisher)
    counts = []
    for lots, guides in ((1, 1), (6, 2), (1993, 297)):
        versions = busy_site(lots - 1 if not counts else lots, guides, coffees=guides, translated="sv")
        _forget(versions[-1])
        _read_by_customers(versions)
        read, seconds = _asked(desk)
        counts.append(read.queries)
        print(f"{Lot.objects.count()} lots: {read.queries} queries, {1000 * seconds:.0f} ms, {read.rows}")
    assert len(set(counts)) == 1, counts
    # A lot is roasted every day here; each of the last month stands beside up to ten before it of its own coffee.
    most = {"Lot": 400, "Coffee": 400}
    assert all(rows <= most.get(name, 50) for name, rows in read.rows.items()), read.rows


def _read_by_customers(versions) -> None:
    """Every guide opened and brewed along every day for four weeks, and asked about."""
    today = timezone.localdate()
    GuideOpens.objects.bulk_create(
        GuideOpens(guide_id=version.guide_id, day=today - datetime.timedelta(days=ago), what=what, times=3)
        for version in versions
        for ago in range(28)
        for what in Opened
    )
    Question.objects.bulk_create(
        Question(version=version, language="sv", text=f"Varför {version.title}?") for version in versions
    )


def _forget(version) -> None:
    """Something of every kind that a full list shows."""
    LotFactory(name=f"F-{version.pk}", coffee=version.guide.coffee, roasted_on=timezone.localdate())
    review.submit(GuideVersionFactory(), by=UserFactory(role="roaster"))
    JobRun.objects.create(kind="inserts_of_version", state=JobState.FAILED, finished_at=timezone.now())
    missed_window(published())


def test_the_head_roasters_question_on_two_thousand_lots(at_desk, publisher):
    """Which published guides lack a check brew for the newest lot? Three of three hundred, each by its name."""
    versions = busy_site(2000, 300)
    forgotten = versions[7], versions[120], versions[299]
    TrialBrew.objects.filter(version__in=forgotten).delete()
    read, seconds = _asked(at_desk(publisher))
    print(f"2000 lots, 300 guides: {read.queries} queries, {1000 * seconds:.0f} ms")
    (section,) = [each for each in waiting.sections(publisher) if each.key == "unchecked"]
    assert [line.text for line in section.lines] == [version.title for version in forgotten]
    listed = at_desk(publisher).get("/admin/guides/guide/?check=missing").context["cl"].queryset
    assert set(listed) == {version.guide for version in forgotten}
