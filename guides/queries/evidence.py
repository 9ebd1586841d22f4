"""What is known about a coffee in a brewer before a plan for it is assessed."""

from __future__ import annotations

import datetime

from django.db.models import QuerySet
from django.utils import timezone

from guides.models import GuideVersion, Lot, Roastery, TrialBrew

from . import lots


def trials(version: GuideVersion, *, at: datetime.datetime | None = None) -> QuerySet[TrialBrew]:
    """Give the brews of a version's coffee in its brewer that were made up to a moment, oldest first."""
    brews = TrialBrew.objects.filter(
        lot__coffee=version.guide.coffee_id, brewer=version.brewer_id, brewed_at__lte=at or timezone.now()
    )
    whole = brews.select_related("brewer__vessel", "version__brewer__vessel").prefetch_related("version__steps")
    return whole.order_by("brewed_at", "pk")


def lot_for(version: GuideVersion) -> Lot | None:
    """Give the lot a version speaks of: the newest one its guide belongs to, else the newest of its coffee."""
    newest = lots.newest_of(version.guide.coffee)
    return newest.filter(assignments__guide=version.guide_id).first() or newest.first()


def check_brews(version: GuideVersion) -> QuerySet[TrialBrew]:
    """Give the check brews made from a version since it was last submitted."""
    brews = TrialBrew.objects.filter(version=version, is_check_brew=True)
    if version.submitted_at is None:
        return brews.none()
    # People note the minute they brewed in, not the microsecond.
    return brews.filter(brewed_at__gte=version.submitted_at.replace(second=0, microsecond=0))


def altitude_m() -> float:
    """Give the height above the sea at which the roastery's guides are written."""
    roastery = Roastery.objects.first()
    return float(roastery.altitude_m) if roastery else 0.0
