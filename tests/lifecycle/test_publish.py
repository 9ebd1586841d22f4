"""Publishing: refuse first; then freeze, number, keep the snapshot and its hash, log; tell others after."""

from __future__ import annotations

import datetime
from typing import Any

import pytest
from django.db import transaction
from django.utils import timezone

from guides.calculations.constants import CALCULATION_VERSION
from guides.choices import State
from guides.lifecycle import canonical
from guides.lifecycle.draft import open_next
from guides.lifecycle.publish import publish
from guides.lifecycle.review import submit
from guides.models import Event, GuideVersion, Step, User
from guides.signals import version_published
from tests.factories import GuideVersionFactory, TrialBrewFactory, UserFactory, ValveVersionFactory, published

from .conftest import refused, verbs

pytestmark = pytest.mark.django_db
WAIVER = "Brewed it at the bench this morning."


def test_a_second_persons_check_brew_is_enough(in_review: GuideVersion, publisher: User) -> None:
    TrialBrewFactory(of=in_review, check=True)
    version = publish(in_review, by=publisher)
    version.refresh_from_db()
    assert (version.state, version.revision, version.published_by) == (State.PUBLISHED, 1, publisher)
    assert version.calculation_version == CALCULATION_VERSION
    assert version.sha256 == canonical.sha256(version.snapshot)
    assert version.waiver_reason == ""
    assert verbs(version) == ["submitted", "published"]


def test_without_a_check_brew_a_reason_is_needed(in_review: GuideVersion, publisher: User) -> None:
    with refused("No check brew: nobody but its writer", "waiver_reason"):
        publish(in_review, by=publisher)
    version = publish(in_review, by=publisher, waiver_reason=f"  {WAIVER} ")
    assert version.waiver_reason == WAIVER
    assert verbs(version) == ["submitted", "waived", "published"]
    assert Event.objects.get(verb="waived").reason == WAIVER


@pytest.mark.parametrize("who", ["writer", "submitter"])
def test_the_writers_own_brew_is_no_check(in_review: GuideVersion, publisher: User, who: str) -> None:
    brewer = {"writer": in_review.created_by, "submitter": in_review.submitted_by}[who]
    TrialBrewFactory(of=in_review, check=True, brewed_by=brewer)
    with refused("No check brew", "waiver_reason"):
        publish(in_review, by=publisher)


def test_a_brew_from_before_it_was_submitted_is_no_check(in_review: GuideVersion, publisher: User) -> None:
    TrialBrewFactory(of=in_review, check=True, brewed_at=in_review.submitted_at - datetime.timedelta(minutes=1))
    with refused("No check brew", "waiver_reason"):
        publish(in_review, by=publisher)


def test_a_brew_that_is_not_called_a_check_is_none(in_review: GuideVersion, publisher: User) -> None:
    TrialBrewFactory(of=in_review)
    with refused("No check brew", "waiver_reason"):
        publish(in_review, by=publisher)


def test_nobody_approves_their_own_text_without_saying_why(publisher: User) -> None:
    own = submit(GuideVersionFactory(created_by=publisher), by=publisher)
    TrialBrewFactory(of=own, check=True)
    with refused("You wrote or submitted this guide", "waiver_reason"):
        publish(own, by=publisher)
    assert publish(own, by=publisher, waiver_reason="Alone in the roastery this week.").state == State.PUBLISHED


def test_a_waiver_fits_its_column(in_review: GuideVersion, publisher: User) -> None:
    with refused("201 characters; write 200 at most", "waiver_reason"):
        publish(in_review, by=publisher, waiver_reason="x" * 201)


def test_a_blank_waiver_is_none(in_review: GuideVersion, publisher: User) -> None:
    with refused("No check brew", "waiver_reason"):
        publish(in_review, by=publisher, waiver_reason="  ")


def test_a_refused_version_is_as_it_was(in_review: GuideVersion, publisher: User) -> None:
    before = GuideVersion.objects.filter(pk=in_review.pk).values().get()
    events = Event.objects.count()
    with refused("No check brew", "waiver_reason"):
        publish(in_review, by=publisher)
    assert GuideVersion.objects.filter(pk=in_review.pk).values().get() == before
    assert Event.objects.count() == events


def test_revisions_count_up_by_guide(publisher: User) -> None:
    first = published()
    assert published(open_next(first.guide, by=publisher)).revision == 2
    assert published(open_next(first.guide, by=publisher)).revision == 3
    assert published().revision == 1


def test_a_plan_broken_while_in_review_is_refused(in_review: GuideVersion, publisher: User) -> None:
    """Submitting looked at it; whoever reached round the form since is caught here."""
    Step.objects.filter(version=in_review, position=4).update(target_g=260)
    with refused("the last pour ends at 260", "target_g", 3):
        publish(in_review, by=publisher, waiver_reason=WAIVER)


def test_others_are_told_after_it_is_sure(
    in_review: GuideVersion, publisher: User, django_capture_on_commit_callbacks: Any
) -> None:
    told: list[int] = []

    def receiver(version_id: int, **_kwargs: Any) -> None:
        told.append(version_id)

    version_published.connect(receiver)
    try:
        with transaction.atomic():
            publish(in_review, by=publisher, waiver_reason=WAIVER)
            transaction.set_rollback(True)
        assert told == []
        with django_capture_on_commit_callbacks(execute=True):
            publish(in_review, by=publisher, waiver_reason=WAIVER)
            assert told == []
        assert told == [in_review.pk]
    finally:
        version_published.disconnect(receiver)


def test_a_receiver_that_fails_takes_nothing_back(
    in_review: GuideVersion, publisher: User, django_capture_on_commit_callbacks: Any, caplog: Any
) -> None:
    def receiver(**_kwargs: Any) -> None:
        raise OSError("no room for papers")

    version_published.connect(receiver)
    try:
        with django_capture_on_commit_callbacks(execute=True):
            publish(in_review, by=publisher, waiver_reason=WAIVER)
    finally:
        version_published.disconnect(receiver)
    assert "no room for papers" in caplog.text
    assert GuideVersion.objects.get(pk=in_review.pk).state == State.PUBLISHED


def test_the_demo_may_date_it_back(in_review: GuideVersion, publisher: User) -> None:
    day = timezone.now() - datetime.timedelta(days=9)
    version = publish(in_review, by=publisher, waiver_reason=WAIVER, at=day)
    assert version.published_at == day
    assert Event.objects.get(verb="published").at == day


def test_a_valve_guide_publishes_too(publisher: User) -> None:
    version = published(ValveVersionFactory())
    assert version.snapshot["assessment"]["shut_limit_g"] is not None


def test_a_server_that_would_run_over_is_named(publisher: User) -> None:
    with refused("Server: 150 mL, and", "server_ml"):
        submit(GuideVersionFactory(server_ml=150), by=publisher)


def test_somebody_elses_stale_copy_publishes_what_is_stored(in_review: GuideVersion, publisher: User) -> None:
    """The object in hand may be old; what counts is the row."""
    stale = GuideVersion.objects.get(pk=in_review.pk)
    publish(in_review, by=publisher, waiver_reason=WAIVER)
    with refused("This version is published", "state"):
        publish(stale, by=UserFactory(role="publisher"), waiver_reason=WAIVER)
