"""Hands a draft to a second person, and back."""

from __future__ import annotations

import datetime

from django.db import transaction
from django.utils import timezone

from guides.models import GuideVersion, User

from . import audit, content, reasons
from .errors import refuse_if
from .moving import begin
from .transitions import SEND_BACK, SUBMIT


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


def send_back(version: GuideVersion, *, by: User, reason: str) -> GuideVersion:
    """Return a version to its writer, or take one's own back.

    Raises:
        Refused: not allowed, not in review, or no reason.
    """
    with transaction.atomic():
        version = begin(version, SEND_BACK, by=by)
        refuse_if(reasons.refusals(reason, "reason", 300))
        version.state = SEND_BACK.target
        version.submitted_at = version.submitted_by = None
        version.save(update_fields=["state", "submitted_at", "submitted_by"])
        audit.record(SEND_BACK.verb, by=by, version=version, reason=reason.strip())
    return version
