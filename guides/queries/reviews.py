"""What a review has so far: its note, its brews, its comments, and why a time passed without publishing."""

from __future__ import annotations

from django.db.models import QuerySet

from guides.choices import Verb
from guides.models import Event, GuideVersion, ReviewComment


def submission(version: GuideVersion) -> Event | None:
    """Give the act with which a version came into review, with its note."""
    return _events(version).filter(verb=Verb.SUBMITTED).first()


def missed(version: GuideVersion) -> Event | None:
    """Give why a version in review was not published when it was due, unless something was done about it since."""
    last = _events(version).exclude(verb=Verb.RESOLVED).first()
    return last if last is not None and last.verb == Verb.NOT_PUBLISHED else None


def comments(version: GuideVersion) -> QuerySet[ReviewComment]:
    """Give what reviewers asked for, oldest first, done or not."""
    return ReviewComment.objects.filter(version=version).select_related("step", "written_by", "resolved_by")


def _events(version: GuideVersion) -> QuerySet[Event]:
    # By the guide first: that column has an index.
    return Event.objects.filter(guide=version.guide_id, version_id=version.pk).select_related("by")
