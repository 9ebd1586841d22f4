"""Publishes a version: refuse first, then freeze, number, keep the snapshot and its hash, log; tell others after."""

from __future__ import annotations

import datetime

from django.db import transaction
from django.db.models import Max
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.calculations.constants import CALCULATION_VERSION
from guides.choices import Verb
from guides.models import GuideVersion, User
from guides.queries import evidence
from guides.signals import version_published

from . import audit, content, reasons, snapshot
from .errors import Refusal, refuse_if
from .moving import begin
from .telling import after_commit
from .transitions import PUBLISH


def publish(
    version: GuideVersion, *, by: User, waiver_reason: str = "", at: datetime.datetime | None = None
) -> GuideVersion:
    """Publish a version in review.

    Args:
        version: the version.
        by: the publisher.
        waiver_reason: why it may go out without a second person's check brew or eyes; up to 200 characters.
        at: when; now if not given.

    Raises:
        Refused: not allowed, not in review, unchecked without a stated waiver, or a plan that does not hold.
    """
    at, waiver_reason = at or timezone.now(), waiver_reason.strip()
    with transaction.atomic():
        version = begin(version, PUBLISH, by=by)
        refuse_if([*approval_refusals(version, by, waiver_reason), *content.refusals(version, at=at)])
        version.revision = _next_revision(version)
        version.published_at, version.published_by = at, by
        version.waiver_reason = waiver_reason
        version.calculation_version = CALCULATION_VERSION
        version.snapshot = snapshot.take(version, at=at)
        version.sha256 = snapshot.digest(version.snapshot)
        version.state = PUBLISH.target
        version.save()
        if waiver_reason:
            audit.record(Verb.WAIVED, by=by, at=at, version=version, reason=waiver_reason)
        audit.record(PUBLISH.verb, by=by, at=at, version=version, revision=version.revision, sha256=version.sha256)
        after_commit(version_published, GuideVersion, version_id=version.pk)
    return version


def approval_refusals(version: GuideVersion, by: User, waiver_reason: str = "") -> list[Refusal]:
    """Why this person may not approve this version without a stated waiver; empty if they may."""
    if waiver_reason:
        return reasons.refusals(waiver_reason, "waiver_reason", 200)
    writers = {version.created_by_id, version.submitted_by_id}
    found = []
    if by.pk in writers:
        found.append(
            Refusal(
                _("You wrote or submitted this guide. Let another publisher approve it, or say why you do it alone."),
                field="waiver_reason",
            )
        )
    if not evidence.check_brews(version).exclude(brewed_by__in=[pk for pk in writers if pk is not None]).exists():
        found.append(
            Refusal(
                _(
                    "No check brew: nobody but its writer has brewed from this guide since it was submitted. "
                    "Log a check brew made from it, or say why it goes out without one."
                ),
                field="waiver_reason",
            )
        )
    return found


def _next_revision(version: GuideVersion) -> int:
    newest = GuideVersion.objects.filter(guide=version.guide_id).aggregate(newest=Max("revision"))["newest"]
    return (newest or 0) + 1
