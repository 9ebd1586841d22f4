"""Approves a version in review: a second person has read it and brewed from it, or it is said why not."""

from __future__ import annotations

import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.choices import Verb
from guides.models import GuideVersion, User
from guides.queries import evidence

from . import audit, content, reasons, writers
from .errors import Refusal, refuse_if
from .moving import begin
from .transitions import APPROVE


def approve(
    version: GuideVersion, *, by: User, waiver_reason: str = "", at: datetime.datetime | None = None
) -> GuideVersion:
    """Approve a version in review. It stays in review, and may be published from now on; returning it ends that.

    Args:
        version: the version.
        by: the publisher.
        waiver_reason: why it may go out without a second person's check brew or eyes; up to 200 characters.
        at: when; now if not given.

    Raises:
        Refused: not allowed, not in review, approved already, unchecked without a waiver, or a plan that does not hold.
    """
    at, waiver_reason = at or timezone.now(), waiver_reason.strip()
    with transaction.atomic():
        version = begin(version, APPROVE, by=by)
        refuse_if([*_again(version), *approval_refusals(version, by, waiver_reason), *content.refusals(version, at=at)])
        version.approved_at, version.approved_by, version.waiver_reason = at, by, waiver_reason
        version.save(update_fields=["approved_at", "approved_by", "waiver_reason"])
        if waiver_reason:
            audit.record(Verb.WAIVED, by=by, at=at, version=version, reason=waiver_reason)
        audit.record(APPROVE.verb, by=by, at=at, version=version)
    return version


def approval_refusals(version: GuideVersion, by: User, waiver_reason: str = "") -> list[Refusal]:
    """Why this person may not approve this version without a stated waiver; empty if they may."""
    if waiver_reason:
        return reasons.refusals(waiver_reason, "waiver_reason", 200)
    wrote = writers.of(version)
    found = []
    if by.pk in wrote:
        found.append(
            Refusal(
                _("You wrote or submitted this guide. Let another publisher approve it, or say why you do it alone."),
                field="waiver_reason",
            )
        )
    if not evidence.check_brews(version).exclude(brewed_by__in=wrote).exists():
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


def _again(version: GuideVersion) -> list[Refusal]:
    if version.approved_by is None:
        return []
    return [
        Refusal(
            format_lazy(
                _("{name} has approved this version already. Publish it, or return it to its writer."),
                name=version.approved_by.display_name,
            ),
            field="state",
        )
    ]
