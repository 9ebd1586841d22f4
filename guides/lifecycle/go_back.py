"""Goes back to an earlier revision by publishing it as the next number; what is printed stays."""

from __future__ import annotations

import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.text import format_lazy
from django.utils.translation import gettext, override
from django.utils.translation import gettext_lazy as _

from guides.models import GuideVersion, User
from guides.queries import versions

from . import draft, review, sameness, snapshot
from .errors import Refusal, refuse_if
from .publish import publish


def go_back(
    version: GuideVersion, *, by: User, waiver_reason: str = "", at: datetime.datetime | None = None
) -> GuideVersion:
    """Open a draft that equals an earlier revision and hand it to review, or publish it where a waiver is stated.

    Numbers and words are compared with what was published; predictions are made anew with what is known today.

    Args:
        version: the earlier revision, published or withdrawn.
        by: who goes back.
        waiver_reason: why nobody need brew it again; it is then published in the same act. Without one it waits for a
            check brew like any other.
        at: when; now if not given.

    Raises:
        Refused: not allowed, never published, the newest one already, a draft is open, a plan that does not hold any
            more, or a waiver that will not do.
    """
    at = at or timezone.now()
    with transaction.atomic():
        refuse_if(_refusals(version))
        next_draft = draft.open_next(version.guide, by=by, at=at, based_on=version)
        with override(version.language):
            next_draft.change_note = gettext("As revision %(number)s.") % {"number": version.revision}
        next_draft.save(update_fields=["change_note"])
        whole = versions.by_id(next_draft.pk)
        kept = snapshot.read(version)
        refuse_if(_equal_refusals([*sameness.moved_numbers(whole, kept), *sameness.moved_words(whole, kept)], version))
        submitted = review.submit(whole, by=by, at=at, note=whole.change_note)
        return publish(submitted, by=by, waiver_reason=waiver_reason, at=at) if waiver_reason.strip() else submitted


def _refusals(version: GuideVersion) -> list[Refusal]:
    if version.revision is None:
        return [Refusal(_("This version was never published; there is nothing to go back to."), field="state")]
    newest = versions.current(version.guide)
    if newest is not None and newest.pk == version.pk:
        return [Refusal(_("This is the newest revision; readers see it already."), field="state")]
    return []


def _equal_refusals(moved: list[str], version: GuideVersion) -> list[Refusal]:
    if not moved:
        return []
    return [
        Refusal(
            format_lazy(
                _("The copy is not equal to revision {revision}: {what}. Tell whoever looks after this site."),
                revision=version.revision,
                what=", ".join(moved),
            )
        )
    ]
