"""Publishes words alone: a translation that was finished after its guide was published.

Every number stays the one that is printed already, which is checked; so nobody need brew it again, and the audit trail
says so. The roaster's own words count as a change of the guide: they go through review like numbers.
"""

from __future__ import annotations

import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.models import GuideVersion, User
from guides.queries import versions

from . import review, sameness, snapshot
from .errors import Refusal, refuse_if
from .publish import publish_words

_REASON = "Words only: every number equals revision %(revision)s."


def publish(version: GuideVersion, *, by: User, at: datetime.datetime | None = None) -> GuideVersion:
    """Take a draft whose translations alone differ from the newest published revision all the way, in one act.

    Its predictions are those of that revision too, so that nothing but words differs between the two papers.

    Args:
        version: the draft.
        by: the publisher.
        at: when; now if not given.

    Raises:
        Refused: not allowed, not a draft, nothing published yet, a number or the roaster's own words differ, no
            translation differs, or a plan that does not hold any more.
    """
    at = at or timezone.now()
    with transaction.atomic():
        review.submit(version, by=by, at=at)
        version = versions.by_id(version.pk)
        newest = versions.current(version.guide)
        refuse_if(refusals(version, newest))
        assert newest is not None  # noqa: S101 - refusals has seen to it; this tells the type checker
        return publish_words(version, newest, by=by, reason=_REASON % {"revision": newest.revision}, at=at)


def refusals(version: GuideVersion, newest: GuideVersion | None) -> list[Refusal]:
    """Why a version is more, or less, than new translations of ``newest``; empty if it is just that."""
    if newest is None:
        return [Refusal(_("This guide has no published revision whose words could be renewed; submit it for review."))]
    kept = snapshot.read(newest)
    numbers, words = sameness.moved_numbers(version, kept), sameness.moved_words(version, kept)
    if numbers:
        return [
            Refusal(
                format_lazy(
                    _("Not words only. Other than in revision {revision}: {what}. Submit it for review."),
                    what=", ".join(numbers),
                    revision=newest.revision,
                )
            )
        ]
    if version.language != kept.language or kept.language in words:
        return [
            Refusal(
                format_lazy(
                    _("The words it was written in differ from revision {revision}, too. Submit it for review."),
                    revision=newest.revision,
                )
            )
        ]
    if not words:
        return [Refusal(format_lazy(_("No translation differs from revision {n}."), n=newest.revision))]
    return []
