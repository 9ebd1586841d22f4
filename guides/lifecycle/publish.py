"""Publishes a version: refuse first, then freeze, number, keep the snapshot and its hash, log; tell others after."""

from __future__ import annotations

import datetime
from typing import Any

from django.db import transaction
from django.db.models import Max
from django.utils import timezone

from guides.calculations.constants import CALCULATION_VERSION
from guides.choices import Verb
from guides.models import GuideVersion, User
from guides.queries.code_records import editions_of
from guides.signals import version_published

from . import audit, code_records, content, snapshot
from .approve import approval_refusals
from .errors import refuse_if
from .moving import begin
from .telling import after_commit
from .transitions import PUBLISH


def publish(
    version: GuideVersion, *, by: User, waiver_reason: str = "", at: datetime.datetime | None = None
) -> GuideVersion:
    """Publish a version in review; one that nobody has approved yet is approved by the same act.

    Args:
        version: the version.
        by: the publisher.
        waiver_reason: why it may go out without a second person's check brew or eyes; up to 200 characters. An
            approved version needs none.
        at: when; now if not given.

    Raises:
        Refused: not allowed, not in review, unchecked without a stated waiver, or a plan that does not hold.
    """
    at, waiver_reason = at or timezone.now(), waiver_reason.strip()
    with transaction.atomic():
        version = begin(version, PUBLISH, by=by)
        unread = version.approved_by_id is None
        missing = approval_refusals(version, by, waiver_reason) if unread else []
        refuse_if([*missing, *content.refusals(version, at=at), *code_records.number_refusals(version.guide)])
        if unread:
            _approve(version, waiver_reason, by=by, at=at)
        _number(version, by=by, at=at)
        _freeze(version, snapshot.take(version, at=at), CALCULATION_VERSION)
    return version


def publish_words(
    version: GuideVersion, numbers_of: GuideVersion, *, by: User, reason: str, at: datetime.datetime
) -> GuideVersion:
    """Publish words in review with the very numbers that ``numbers_of`` was published with.

    Only ``words_only`` calls this, inside its transaction: it has seen to it that the numbers are equal.

    Raises:
        Refused: not allowed, or not in review.
    """
    version = begin(version, PUBLISH, by=by)
    _approve(version, reason, by=by, at=at)
    _number(version, by=by, at=at)
    _freeze(version, snapshot.take_words(version, numbers_of), numbers_of.calculation_version)
    return version


def _approve(version: GuideVersion, waiver_reason: str, *, by: User, at: datetime.datetime) -> None:
    version.approved_at, version.approved_by, version.waiver_reason = at, by, waiver_reason
    if waiver_reason:
        audit.record(Verb.WAIVED, by=by, at=at, version=version, reason=waiver_reason)


def _number(version: GuideVersion, *, by: User, at: datetime.datetime) -> None:
    newest = GuideVersion.objects.filter(guide=version.guide_id).aggregate(newest=Max("revision"))["newest"]
    # Behind those, too, that are on paper and that a restored database has forgotten.
    version.revision = max([newest or 0, *editions_of(version.guide.number)]) + 1
    version.published_at, version.published_by = at, by


def _freeze(version: GuideVersion, kept: dict[str, Any], calculation_version: str) -> None:
    assert version.published_by is not None  # noqa: S101 - _number has seen to it; this tells the type checker
    version.calculation_version, version.snapshot, version.sha256 = calculation_version, kept, snapshot.digest(kept)
    version.publish_at = version.publish_by = None
    version.state = PUBLISH.target
    code_records.keep_edition(version)
    version.save()
    audit.record(
        PUBLISH.verb,
        by=version.published_by,
        at=version.published_at,
        version=version,
        revision=version.revision,
        sha256=version.sha256,
    )
    after_commit(version_published, GuideVersion, version_id=version.pk)
