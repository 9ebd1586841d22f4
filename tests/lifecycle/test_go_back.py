"""Going back: an earlier revision as the next number, words and numbers equal."""

from __future__ import annotations

import pytest

from guides.choices import State
from guides.lifecycle import go_back as room
from guides.lifecycle import snapshot, stored
from guides.lifecycle.draft import open_next
from guides.lifecycle.go_back import go_back
from guides.models import Event, GuideVersion, User, VersionText
from tests.factories import GuideVersionFactory, published

from .conftest import refused, verbs

pytestmark = pytest.mark.django_db
WAIVER = "Brewed it for a year."


@pytest.fixture
def first() -> GuideVersion:
    """Revision 1, with a translation; revision 2 is hotter."""
    draft = GuideVersionFactory()
    VersionText.objects.create(version=draft, language="sv", title="Outer Mark i Mast")
    first = published(draft)
    second = open_next(first.guide, by=first.created_by)
    second.kettle_c = "98.0"
    second.save()
    published(second)
    return first


def test_it_waits_in_review_for_a_brew_like_any_other(first: GuideVersion, roaster: User) -> None:
    version = go_back(first, by=roaster)
    assert (version.state, version.change_note) == (State.IN_REVIEW, "As revision 1.")
    assert verbs(version) == ["opened_draft", "submitted"]
    assert Event.objects.get(version_id=version.pk, verb="opened_draft").details["based_on"] == 1


@pytest.mark.data
def test_with_a_stated_waiver_it_is_published_in_the_same_act(first: GuideVersion, publisher: User) -> None:
    version = go_back(first, by=publisher, waiver_reason=WAIVER)
    version.refresh_from_db()
    assert (version.state, version.revision, version.waiver_reason) == (State.PUBLISHED, 3, WAIVER)
    was, now = snapshot.read(first), snapshot.read(version)
    assert stored.to_json(was.plan) == stored.to_json(now.plan)
    assert was.words == now.words
    first.refresh_from_db()
    assert first.revision == 1


def test_a_writer_without_the_right_to_publish_changes_nothing(first: GuideVersion, roaster: User) -> None:
    with refused("may not publish guides"):
        go_back(first, by=roaster, waiver_reason=WAIVER)
    assert not GuideVersion.objects.filter(guide=first.guide, revision=None).exists()


def test_the_newest_is_shown_already(first: GuideVersion, publisher: User) -> None:
    with refused("newest revision", "state"):
        go_back(first.guide.versions.get(revision=2), by=publisher)


def test_a_draft_is_nothing_to_go_back_to(draft: GuideVersion, publisher: User) -> None:
    with refused("was never published", "state"):
        go_back(draft, by=publisher)


def test_an_open_draft_is_gone_on_with_first(first: GuideVersion, publisher: User, roaster: User) -> None:
    open_next(first.guide, by=roaster)
    with refused("has an open draft already", "guide"):
        go_back(first, by=publisher)


def test_a_copy_that_is_not_equal_is_refused(
    first: GuideVersion, publisher: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The guard of the copy itself: with a copy that loses a number nothing is opened."""
    copied = room.draft._copied

    def loses(row, leave):  # type: ignore[no-untyped-def]
        return {**copied(row, leave), **({"kettle_c": 90} if isinstance(row, GuideVersion) else {})}

    monkeypatch.setattr(room.draft, "_copied", loses)
    with refused("The copy is not equal to revision 1: kettle reads"):
        go_back(first, by=publisher)
    assert first.guide.versions.count() == 2
