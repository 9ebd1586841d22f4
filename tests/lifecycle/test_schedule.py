"""Publishing at a time: set, moved, called off, done when due, and said when it cannot be done."""

from __future__ import annotations

import datetime

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from guides.choices import State
from guides.lifecycle import schedule as room
from guides.lifecycle.approve import approve
from guides.lifecycle.errors import Refused
from guides.lifecycle.publish import publish
from guides.lifecycle.review import send_back
from guides.lifecycle.schedule import NotYet, call_off, due, publish_due, schedule
from guides.models import Event, GuideVersion, User

from .conftest import refused, verbs

pytestmark = pytest.mark.django_db
WAIVER = "Brewed it at the bench this morning."
HOUR = datetime.timedelta(hours=1)


@pytest.fixture
def at_six() -> datetime.datetime:
    return timezone.now() + 6 * HOUR


@pytest.fixture
def waiting(in_review: GuideVersion, publisher: User, at_six: datetime.datetime) -> GuideVersion:
    approve(in_review, by=publisher, waiver_reason=WAIVER)
    return schedule(in_review, by=publisher, publish_at=at_six)


def test_the_time_is_kept_with_who_set_it(waiting: GuideVersion, publisher: User, at_six: datetime.datetime) -> None:
    waiting.refresh_from_db()
    assert (waiting.state, waiting.publish_at, waiting.publish_by) == (State.IN_REVIEW, at_six, publisher)
    assert verbs(waiting) == ["submitted", "waived", "approved", "scheduled"]


def test_only_what_is_approved(in_review: GuideVersion, publisher: User, at_six: datetime.datetime) -> None:
    with refused("Approve it first", "state"):
        schedule(in_review, by=publisher, publish_at=at_six)


def test_a_time_that_has_passed(in_review: GuideVersion, publisher: User) -> None:
    approve(in_review, by=publisher, waiver_reason=WAIVER)
    with refused("it has passed", "publish_at"):
        schedule(in_review, by=publisher, publish_at=timezone.now() - HOUR)


@pytest.mark.data
def test_it_is_published_once_when_due(waiting: GuideVersion, publisher: User, at_six: datetime.datetime) -> None:
    assert list(due(at=at_six - HOUR)) == []
    assert list(due(at=at_six)) == [waiting]
    assert publish_due(waiting.pk, at_six, at=at_six) is True
    waiting.refresh_from_db()
    assert (waiting.state, waiting.published_at, waiting.published_by) == (State.PUBLISHED, at_six, publisher)
    assert waiting.publish_at is None
    assert publish_due(waiting.pk, at_six, at=at_six) is False
    assert verbs(waiting).count("published") == 1


def test_a_clock_that_is_behind_waits(waiting: GuideVersion, at_six: datetime.datetime) -> None:
    with pytest.raises(NotYet) as early:
        publish_due(waiting.pk, at_six, at=at_six - HOUR)
    assert early.value.wait == HOUR


def test_called_off_it_stays_approved_and_is_not_published(
    waiting: GuideVersion, publisher: User, at_six: datetime.datetime
) -> None:
    with refused("Reason: say why", "reason"):
        call_off(waiting, by=publisher, reason="")
    version = call_off(waiting, by=publisher, reason="The bags are late.")
    assert (version.publish_at, version.approved_by) == (None, publisher)
    assert publish_due(waiting.pk, at_six, at=at_six) is False
    with refused("there is nothing to call off", "publish_at"):
        call_off(waiting, by=publisher, reason="Twice.")


def test_moved_to_another_time_only_that_one_counts(
    waiting: GuideVersion, publisher: User, at_six: datetime.datetime
) -> None:
    schedule(waiting, by=publisher, publish_at=at_six + HOUR)
    assert publish_due(waiting.pk, at_six, at=at_six + 2 * HOUR) is False
    assert publish_due(waiting.pk, at_six + HOUR, at=at_six + 2 * HOUR) is True


def test_returned_it_is_not_published(waiting: GuideVersion, publisher: User, at_six: datetime.datetime) -> None:
    version = send_back(waiting, by=publisher, reason="Cooler, please.")
    assert version.publish_at is None
    assert Event.objects.get(verb="returned").details["was_set_for"] == at_six.isoformat()
    assert publish_due(waiting.pk, at_six, at=at_six) is False


def test_published_by_hand_before_it_is_left_as_it_is(
    waiting: GuideVersion, publisher: User, at_six: datetime.datetime
) -> None:
    publish(waiting, by=publisher)
    assert publish_due(waiting.pk, at_six, at=at_six) is False


@pytest.mark.data
@pytest.mark.parametrize("why", ["the plan", "the person"])
def test_what_no_longer_holds_is_not_published_and_says_so(
    waiting: GuideVersion, publisher: User, at_six: datetime.datetime, why: str
) -> None:
    if why == "the plan":
        waiting.brewer.vessel.usable_ml = 120
        waiting.brewer.vessel.save()
    else:
        publisher.is_active = False
        publisher.save()
    with pytest.raises(Refused):
        publish_due(waiting.pk, at_six, at=at_six)
    waiting.refresh_from_db()
    assert (waiting.state, waiting.publish_at, waiting.revision) == (State.IN_REVIEW, None, None)
    told = Event.objects.get(verb="not_published")
    assert told.reason
    with pytest.raises(
        Refused, match=r"would hold|may not publish"
    ):  # a worker that was killed before it said so says it again
        publish_due(waiting.pk, at_six, at=at_six)
    assert Event.objects.filter(verb="not_published").count() == 1


def test_without_the_second_look_it_would_be_published_all_the_same(
    waiting: GuideVersion, at_six: datetime.datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Negative control."""
    monkeypatch.setattr("guides.lifecycle.publish.content.refusals", lambda version, at: [])
    waiting.brewer.vessel.usable_ml = 120
    waiting.brewer.vessel.save()
    assert room.publish_due(waiting.pk, at_six, at=at_six) is True


@pytest.mark.data
def test_the_database_wants_an_approval_with_the_time(in_review: GuideVersion, publisher: User) -> None:
    with pytest.raises(IntegrityError, match="version_publish_at_when_approved"), transaction.atomic():
        GuideVersion.objects.filter(pk=in_review.pk).update(publish_at=timezone.now(), publish_by=publisher)
