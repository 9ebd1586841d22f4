"""Approving: an act of its own, by somebody who did not write it, on the strength of a brew."""

from __future__ import annotations

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from guides.choices import State
from guides.lifecycle import writers
from guides.lifecycle.approve import approve
from guides.lifecycle.publish import publish
from guides.lifecycle.review import send_back, submit
from guides.models import GuideVersion, User
from tests.factories import TrialBrewFactory, UserFactory

from .conftest import refused, verbs

pytestmark = pytest.mark.django_db
WAIVER = "Brewed it at the bench this morning."


def test_it_stays_in_review_and_says_who_and_when(in_review: GuideVersion, publisher: User) -> None:
    TrialBrewFactory(of=in_review, check=True)
    version = approve(in_review, by=publisher)
    version.refresh_from_db()
    assert (version.state, version.approved_by, version.waiver_reason) == (State.IN_REVIEW, publisher, "")
    assert version.approved_at is not None
    assert verbs(version) == ["submitted", "approved"]


def test_what_is_approved_is_published_by_any_publisher_without_asking_again(in_review: GuideVersion) -> None:
    approve(in_review, by=UserFactory(role="publisher"), waiver_reason=WAIVER)
    version = publish(in_review, by=UserFactory(role="publisher"))
    assert (version.state, version.waiver_reason) == (State.PUBLISHED, WAIVER)
    assert verbs(version) == ["submitted", "waived", "approved", "published"]


def test_a_writer_who_publishes_may_publish_what_another_approved(draft: GuideVersion, publisher: User) -> None:
    writers.record_edit(draft, by=publisher)
    version = submit(draft, by=draft.created_by)
    approve(version, by=UserFactory(role="publisher"), waiver_reason=WAIVER)
    assert publish(version, by=publisher).approved_by != publisher


def test_publishing_what_nobody_approved_approves_it(in_review: GuideVersion, publisher: User) -> None:
    version = publish(in_review, by=publisher, waiver_reason=WAIVER)
    assert (version.approved_by, version.approved_at) == (publisher, version.published_at)


def test_returning_ends_an_approval(in_review: GuideVersion, publisher: User) -> None:
    approve(in_review, by=publisher, waiver_reason=WAIVER)
    version = send_back(in_review, by=publisher, reason="Cooler, please.")
    version.refresh_from_db()
    assert (version.approved_at, version.approved_by, version.waiver_reason) == (None, None, "")
    again = submit(version, by=version.created_by)
    with refused("No check brew", "waiver_reason"):
        publish(again, by=publisher)


def test_it_is_approved_once(in_review: GuideVersion, publisher: User) -> None:
    approve(in_review, by=publisher, waiver_reason=WAIVER)
    with refused("has approved this version already", "state"):
        approve(in_review, by=UserFactory(role="publisher"), waiver_reason=WAIVER)


def test_only_what_is_in_review(draft: GuideVersion, publisher: User) -> None:
    with refused("This version is draft, and this can be done only while it is in review. Submit it", "state"):
        approve(draft, by=publisher, waiver_reason=WAIVER)


def test_whoever_changed_it_on_the_way_is_a_writer_too(draft: GuideVersion, publisher: User) -> None:
    """A publisher mends a junior's draft; another submits it: the mender neither approves it nor checks it."""
    writers.record_edit(draft, by=publisher)
    writers.record_edit(draft, by=publisher)
    version = submit(draft, by=draft.created_by)
    TrialBrewFactory(of=version, check=True, brewed_by=publisher)
    with refused("You wrote or submitted this guide", "waiver_reason"):
        approve(version, by=publisher)
    other = UserFactory(role="publisher")
    with refused("nobody but its writer has brewed", "waiver_reason"):
        approve(version, by=other)
    TrialBrewFactory(of=version, check=True)
    assert approve(version, by=other).approved_by == other


def test_without_the_record_of_edits_the_mender_would_get_away_with_it(
    draft: GuideVersion, publisher: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Negative control."""
    monkeypatch.setattr(writers, "record_edit", lambda version, by: None)
    writers.record_edit(draft, by=publisher)
    version = submit(draft, by=draft.created_by)
    TrialBrewFactory(of=version, check=True, brewed_by=publisher)
    assert approve(version, by=publisher).approved_by == publisher


def test_a_plan_that_no_longer_holds_is_not_approved(in_review: GuideVersion, publisher: User) -> None:
    in_review.brewer.vessel.usable_ml = 120
    in_review.brewer.vessel.save()
    with refused("the brewer would hold", "water_g"):
        approve(in_review, by=publisher, waiver_reason=WAIVER)


@pytest.mark.data
def test_the_database_keeps_approvals_off_drafts(draft: GuideVersion, publisher: User) -> None:
    with pytest.raises(IntegrityError, match="version_approved_by_and_at"), transaction.atomic():
        GuideVersion.objects.filter(pk=draft.pk).update(approved_at=timezone.now(), approved_by=publisher)
