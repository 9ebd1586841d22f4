"""Marks a reviewer's comment as done. It stays in the version's history."""

from __future__ import annotations

import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.models import ReviewComment, User

from . import audit
from .errors import Refusal, refuse_if
from .moving import begin
from .transitions import RESOLVE


def resolve(comment: ReviewComment, *, by: User, at: datetime.datetime | None = None) -> ReviewComment:
    """Mark a comment of a draft as done.

    Raises:
        Refused: not allowed, not a draft, or done already.
    """
    at = at or timezone.now()
    with transaction.atomic():
        version = begin(comment.version, RESOLVE, by=by)
        comment = ReviewComment.objects.get(pk=comment.pk)
        if comment.resolved_at is not None:
            refuse_if([Refusal(_("This comment is marked done already."))])
        comment.resolved_at, comment.resolved_by = at, by
        comment.save(update_fields=["resolved_at", "resolved_by"])
        audit.record(RESOLVE.verb, by=by, at=at, version=version, reason=comment.text, place=comment.place)
    return comment
