"""Versions that wait for one member of staff."""

from __future__ import annotations

from django.db.models import Exists, F, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import TruncMinute

from guides.choices import State, Verb
from guides.models import Event, GuideVersion, TrialBrew, User, VersionEditor

_HANDED_OVER = (Verb.SUBMITTED, Verb.RETURNED)


def returned_to(user: User) -> QuerySet[GuideVersion]:
    """Give drafts that somebody else returned to their writer or submitter, with ``last_reason``; latest first."""
    return _drafts_with_moves().filter(_is_returned_to(user))


def open_drafts_of(user: User) -> QuerySet[GuideVersion]:
    """Give the drafts somebody is writing, without those that came back."""
    return _drafts_with_moves().filter(created_by=user).exclude(_is_returned_to(user)).order_by("-created_at")


def to_approve_by(user: User) -> QuerySet[GuideVersion]:
    """Give versions in review that others wrote and nobody has approved, oldest first.

    Each has ``is_brewed``: whether somebody who did not write it has brewed from it since it was submitted.
    """
    return _in_review_by_others(user).annotate(is_brewed=_brewed_by_others())


def to_publish() -> QuerySet[GuideVersion]:
    """Give approved versions that have no time set, longest approved first; any publisher may publish them."""
    approved = _with_guide().select_related("approved_by").filter(state=State.IN_REVIEW, approved_at__isnull=False)
    return approved.filter(publish_at__isnull=True).order_by("approved_at", "pk")


def to_brew_by(user: User) -> QuerySet[GuideVersion]:
    """Give those of them that nobody but their writer has brewed from since they were submitted."""
    return _in_review_by_others(user).exclude(_brewed_by_others())


def _in_review_by_others(user: User) -> QuerySet[GuideVersion]:
    # One that is approved waits to be published, and by a time set for that for nobody.
    waiting = _with_guide().filter(state=State.IN_REVIEW, approved_at__isnull=True)
    own = VersionEditor.objects.filter(version=OuterRef("pk"), user=user)
    others = waiting.exclude(created_by=user).exclude(submitted_by=user).exclude(Exists(own))
    return others.order_by("submitted_at", "pk")


def _with_guide() -> QuerySet[GuideVersion]:
    return GuideVersion.objects.select_related("guide__coffee", "submitted_by", "created_by")


def _drafts_with_moves() -> QuerySet[GuideVersion]:
    # By the guide first: that column has an index.
    moves = Event.objects.filter(guide=OuterRef("guide"), version_id=OuterRef("pk"), verb__in=_HANDED_OVER)
    last = moves.order_by("-at", "-pk")
    submitted = last.filter(verb=Verb.SUBMITTED)
    return (
        _with_guide()
        .filter(state=State.DRAFT)
        .annotate(
            last_verb=Subquery(last.values("verb")[:1]),
            last_by=Subquery(last.values("by")[:1]),
            last_at=Subquery(last.values("at")[:1]),
            last_reason=Subquery(last.values("reason")[:1]),
            last_submitter=Subquery(submitted.values("by")[:1]),
        )
        .order_by("-last_at")
    )


def _is_returned_to(user: User) -> Q:
    # Whoever takes a version back goes on writing; nothing has been returned to them.
    theirs = Q(created_by=user) | Q(last_submitter__isnull=False, last_submitter=user.pk)
    return theirs & Q(last_verb__isnull=False, last_verb=Verb.RETURNED) & ~Q(last_by=user.pk)


def _brewed_by_others() -> Exists:
    brews = TrialBrew.objects.filter(
        version=OuterRef("pk"), is_check_brew=True, brewed_at__gte=TruncMinute("version__submitted_at")
    ).exclude(brewed_by=F("version__submitted_by"))
    brews = brews.exclude(brewed_by=F("version__created_by"), version__created_by__isnull=False)
    writers = VersionEditor.objects.filter(version=OuterRef("version"), user=OuterRef("brewed_by"))
    return Exists(brews.exclude(Exists(writers)))
