"""The next draft: a copy to work on while what is printed stays."""

from __future__ import annotations

import datetime

import pytest
from django.utils import timezone

from guides.choices import State
from guides.lifecycle.draft import open_next, record_created
from guides.lifecycle.withdraw import withdraw
from guides.models import GuideVersion, StepText, User, VersionText
from tests.factories import GuideFactory, GuideVersionFactory, published

from .conftest import refused, verbs

pytestmark = pytest.mark.django_db
OWN = {"id", "revision", "state", "snapshot", "sha256", "calculation_version"}


@pytest.fixture
def worded() -> GuideVersion:
    draft = GuideVersionFactory(change_note="Coarser.", summary="Clear.", strength_low_percent="1.30",
                                strength_high_percent="1.40")  # fmt: skip
    VersionText.objects.create(version=draft, language="sv", title="Titel", why="Därför.")
    StepText.objects.create(step=draft.steps.first(), language="sv", simple="Fukta allt.")
    return published(draft)


def content(version: GuideVersion) -> object:
    skipped = {name for name in GuideVersion.objects.values().first() if name.endswith(("_at", "_by_id", "_reason"))}
    row = GuideVersion.objects.values().get(pk=version.pk)
    return (
        {name: value for name, value in row.items() if name not in OWN | skipped | {"change_note", "edit_number"}},
        list(version.texts.values("language", "title", "summary", "in_depth", "why")),
        [
            (
                {name: value for name, value in step.items() if name not in ("id", "version_id")},
                list(StepText.objects.filter(step=step["id"]).values("language", "simple", "in_depth", "why")),
            )
            for step in version.steps.values()
        ],
    )


def test_plan_and_words_are_copied_and_nothing_else(worded: GuideVersion, roaster: User) -> None:
    before = GuideVersion.objects.filter(pk=worded.pk).values().get()
    draft = open_next(worded.guide, by=roaster)
    assert draft.pk != worded.pk
    assert content(draft) == content(worded)
    assert (draft.state, draft.revision, draft.created_by, draft.change_note) == (State.DRAFT, None, roaster, "")
    assert (draft.snapshot, draft.sha256, draft.waiver_reason, draft.published_at) == (None, "", "", None)
    assert GuideVersion.objects.filter(pk=worded.pk).values().get() == before
    assert verbs(draft) == ["opened_draft"]


def test_one_draft_at_a_time(worded: GuideVersion, roaster: User) -> None:
    open_next(worded.guide, by=roaster)
    with refused("it has an open draft already", "guide"):
        open_next(worded.guide, by=roaster)


def test_an_older_version_can_be_the_start(worded: GuideVersion, roaster: User) -> None:
    second = open_next(worded.guide, by=roaster)
    GuideVersion.objects.filter(pk=second.pk).update(title="Second")
    published(GuideVersion.objects.get(pk=second.pk))
    assert open_next(worded.guide, by=roaster, based_on=worded).title == worded.title


def test_a_withdrawn_guide_can_be_taken_up_again(worded: GuideVersion, roaster: User, publisher: User) -> None:
    withdraw(worded, by=publisher, reason="The valve leaks.")
    draft = open_next(worded.guide, by=roaster)
    assert (draft.state, draft.withdrawn_reason, draft.title) == (State.DRAFT, "", worded.title)


def test_nothing_to_start_from(roaster: User) -> None:
    with refused("there is no version to start from", "guide"):
        open_next(GuideFactory(), by=roaster)


def test_not_from_another_guide(worded: GuideVersion, roaster: User) -> None:
    with refused("belongs to another guide", "guide"):
        open_next(GuideFactory(), by=roaster, based_on=worded)


def test_the_first_version_remembers_who_began_it(roaster: User) -> None:
    first = GuideVersionFactory(created_by=None)
    record_created(first, by=roaster)
    assert GuideVersion.objects.get(pk=first.pk).created_by == roaster
    assert verbs(first) == ["created"]


def test_it_can_be_dated_back(worded: GuideVersion, roaster: User) -> None:
    day = timezone.now() - datetime.timedelta(days=3)
    assert GuideVersion.objects.get(pk=open_next(worded.guide, by=roaster, at=day).pk).created_at == day
