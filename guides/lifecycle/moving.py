"""The first half of every move of a version: take hold of it, look again, refuse."""

from __future__ import annotations

from guides.models import Guide, GuideVersion, User
from guides.queries import versions

from . import roles
from .errors import refuse_if
from .transitions import Transition, state_refusals


def begin(version: GuideVersion, transition: Transition, *, by: User) -> GuideVersion:
    """Lock the guide and give the version as it stands now. Call inside a transaction.

    PostgreSQL locks the guide's row; SQLite lets one writer in from BEGIN on. Either way nobody else can move or
    number a version of this guide until the transaction ends.

    Raises:
        Refused: the person may not make this move, or the version cannot.
    """
    Guide.objects.select_for_update().get(pk=version.guide_id)
    fresh = versions.by_id(version.pk)
    refuse_if([*state_refusals(fresh, transition), *roles.refusals(by, transition.permissions, transition.act)])
    return fresh
