"""Withdraws a published version; its codes keep working and show the notice."""

from __future__ import annotations

import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.models import Guide, GuideVersion, User
from guides.signals import version_withdrawn

from . import audit, reasons
from .errors import Refusal, refuse_if
from .moving import begin
from .telling import after_commit
from .transitions import WITHDRAW


def withdraw(
    version: GuideVersion,
    *,
    by: User,
    reason: str,
    replacement: Guide | None = None,
    at: datetime.datetime | None = None,
) -> GuideVersion:
    """Withdraw a published version for good.

    Args:
        version: the version.
        by: who withdraws it.
        reason: what readers of an old insert are told; up to 200 characters.
        replacement: another guide they may use instead.
        at: when; now if not given.

    Raises:
        Refused: not allowed, not published, no reason, or a guide named as its own replacement.
    """
    with transaction.atomic():
        version = begin(version, WITHDRAW, by=by)
        refuse_if([*reasons.refusals(reason, "withdrawn_reason", 200), *_replacement_refusals(version, replacement)])
        version.state = WITHDRAW.target
        version.withdrawn_at, version.withdrawn_by = at or timezone.now(), by
        version.withdrawn_reason, version.replacement = reason.strip(), replacement
        version.save(update_fields=["state", "withdrawn_at", "withdrawn_by", "withdrawn_reason", "replacement"])
        audit.record(WITHDRAW.verb, by=by, at=at, version=version, reason=version.withdrawn_reason)
        after_commit(version_withdrawn, GuideVersion, version_id=version.pk)
    return version


def _replacement_refusals(version: GuideVersion, replacement: Guide | None) -> list[Refusal]:
    if replacement is None or replacement.pk != version.guide_id:
        return []
    return [Refusal(_("Use instead: name another guide; this one's newest revision is shown anyway."), "replacement")]
