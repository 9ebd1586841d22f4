"""Publishing makes inserts ahead of time."""

from pathlib import Path

import pytest
from django.core.management import call_command

from guides.choices import JobState
from guides.documents import insert, painting
from guides.lifecycle.recall import recall
from guides.models import GuideVersion, JobRun
from tests.documents.conftest import paper_folder, roastery  # noqa: F401
from tests.factories import GuideVersionFactory, UserFactory, published
from tests.factories.packed import packed

pytestmark = [
    # The worker commits, and publishing tells of itself on commit.
    pytest.mark.django_db(transaction=True),
    pytest.mark.data,
    pytest.mark.usefixtures("paper_folder", "roastery"),
]


def publish_next(version: GuideVersion, **changed: object) -> GuideVersion:
    """Publish the next revision of a guide."""
    return published(GuideVersionFactory(guide=version.guide, brewer=version.brewer, **changed))


def papers(folder: Path) -> list[Path]:
    return list(folder.rglob("*.pdf"))


def worked_off() -> JobRun:
    """Let a worker do what is waiting, and give the last run."""
    call_command("work", burst=True)
    return JobRun.objects.latest("created_at")


def test_publishing_makes_the_inserts_of_every_lot_that_follows(paper_folder):  # noqa: F811
    _lot, first = packed()
    packed(first)
    recalled, _version = packed(first)
    recall(recalled, by=UserFactory(role="publisher"), reason="A screw is missing from the cooling tray.")
    version = publish_next(first)
    run = JobRun.objects.latest("created_at")
    assert (run.kind, run.arguments) == ("inserts_of_version", {"version_id": version.pk})

    run = worked_off()
    assert (run.state, run.result, run.done, run.total) == (JobState.DONE, {"inserts": 2}, 2, 2)
    assert len(papers(paper_folder)) == 2


def test_a_version_overtaken_before_its_turn_makes_nothing(paper_folder):  # noqa: F811
    _lot, first = packed()
    publish_next(first)
    worked_off()
    assert [run.result for run in JobRun.objects.order_by("created_at")] == [{"inserts": 0}, {"inserts": 1}]
    assert len(papers(paper_folder)) == 1


def test_what_was_made_ahead_is_handed_out_without_the_engine(monkeypatch):
    lot, first = packed()
    version = publish_next(first)
    worked_off()
    monkeypatch.setattr(painting, "Draft", None)
    assert insert.insert_pdf(lot, version, "en").startswith(b"%PDF")


def test_an_insert_that_does_not_fit_is_told(paper_folder):  # noqa: F811
    lot, first = packed()
    publish_next(first, title="W" * 80)
    run = worked_off()
    assert run.state == JobState.FAILED
    assert f"{lot} [en]: Title: too wide" in run.error
    assert papers(paper_folder) == []


def test_done_again_it_makes_nothing_new(paper_folder):  # noqa: F811
    _lot, first = packed()
    publish_next(first)
    worked_off()
    before = {path: path.stat().st_mtime_ns for path in papers(paper_folder)}
    JobRun.objects.update(state=JobState.WAITING)
    assert worked_off().state == JobState.DONE
    assert {path: path.stat().st_mtime_ns for path in papers(paper_folder)} == before
