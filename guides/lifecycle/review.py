"""Hands a draft to a second person, and back."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.models import GuideVersion, ReviewComment, User

from . import audit, content, reasons
from .errors import Refusal, refuse_if
from .moving import begin
from .transitions import SEND_BACK, SUBMIT

_ENDS = (
    "submitted_at", "submitted_by", "approved_at", "approved_by", "publish_at", "publish_by"
)  # fmt: skip
"""What being in review brought, and returning takes away."""


@dataclass(frozen=True)
class Comment:
    """What a reviewer asks for. ``step`` is the index of the step it is about, ``None`` for the whole guide."""

    text: str
    step: int | None = None


def submit(version: GuideVersion, *, by: User, note: str = "", at: datetime.datetime | None = None) -> GuideVersion:
    """Ask for review. What is wrong with the plan is said now, before somebody brews from it.

    Raises:
        Refused: not allowed, not a draft, or a plan that could not be published.
    """
    with transaction.atomic():
        version = begin(version, SUBMIT, by=by)
        refuse_if([*content.refusals(version, at=at), *(reasons.refusals(note, "note", 300) if note.strip() else ())])
        version.state = SUBMIT.target
        version.submitted_at, version.submitted_by = at or timezone.now(), by
        version.save(update_fields=["state", "submitted_at", "submitted_by"])
        audit.record(SUBMIT.verb, by=by, at=at, version=version, reason=note.strip())
    return version


def send_back(
    version: GuideVersion,
    *,
    by: User,
    reason: str = "",
    comments: Iterable[Comment] = (),
    at: datetime.datetime | None = None,
) -> GuideVersion:
    """Return a version to its writer, or take one's own back. An approval and a time to publish fall away.

    Args:
        version: the version.
        by: who returns it.
        reason: what to change and why; up to 300 characters. Comments may stand in its place.
        comments: each tied to a step or to the whole.
        at: when; now if not given.

    Raises:
        Refused: not allowed, not in review, neither reason nor comment, or a comment that will not do.
    """
    at, comments = at or timezone.now(), [comment for comment in comments if comment.text.strip()]
    with transaction.atomic():
        version = begin(version, SEND_BACK, by=by)
        missing = reasons.refusals(reason, "reason", 300) if reason.strip() or not comments else []
        refuse_if([*missing, *_comment_refusals(version, comments)])
        was_approved, was_set_for = version.approved_at is not None, version.publish_at
        for name in _ENDS:
            setattr(version, name, None)
        version.state, version.waiver_reason = SEND_BACK.target, ""
        version.save(update_fields=["state", "waiver_reason", *_ENDS])
        for comment in comments:
            _write(version, comment, by=by, at=at)
        audit.record(
            SEND_BACK.verb,
            by=by,
            at=at,
            version=version,
            reason=reason.strip(),
            comments=len(comments),
            was_approved=was_approved,
            was_set_for=was_set_for.isoformat() if was_set_for else None,
        )
    return version


def _write(version: GuideVersion, comment: Comment, *, by: User, at: datetime.datetime) -> None:
    step = None if comment.step is None else version.steps.all()[comment.step]
    place = None if comment.step is None else comment.step + 1
    text = comment.text.strip()
    ReviewComment.objects.create(version=version, step=step, place=place, text=text, written_at=at, written_by=by)


def _comment_refusals(version: GuideVersion, comments: Iterable[Comment]) -> Iterator[Refusal]:
    count = len(version.steps.all())
    for comment in comments:
        if comment.step is not None and not 0 <= comment.step < count:
            yield Refusal(_("Comment: this guide has no such step."), field="comment", step=comment.step)
        for refusal in reasons.refusals(comment.text, "comment", 300):
            yield Refusal(refusal.message, field="comment", step=comment.step)
