"""What is known about a coffee in a brewer before a plan for it is assessed."""

from __future__ import annotations

import datetime

from django.db.models import QuerySet
from django.utils import timezone

from guides.models import GuideVersion, Lot, Roastery, TrialBrew

from . import lots


def trials(coffee: int, brewer: int, *, at: datetime.datetime | None = None) -> QuerySet[TrialBrew]:
    """Give the brews of a coffee in a brewer up to a moment that count, oldest first; both by their keys."""
    counted = of_pair(coffee, brewer).filter(brewed_at__lte=at or timezone.now(), set_aside_at__isnull=True)
    return counted.select_related(None)


def of_pair(coffee: int, brewer: int) -> QuerySet[TrialBrew]:
    """Give every brew of a coffee in a brewer, oldest first, with its lot and who made it."""
    brews = TrialBrew.objects.filter(lot__coffee=coffee, brewer=brewer).defer("predicted")
    return brews.select_related("lot", "brewed_by", "brewer").order_by("brewed_at", "pk")


def whole(brews: QuerySet[TrialBrew]) -> QuerySet[TrialBrew]:
    """Give brews with all that says how they were made."""
    parts = ("lot__coffee", "picture", "brewed_by", "brewer__vessel", "version__brewer__vessel", "version__guide")
    return brews.select_related(*parts).prefetch_related("version__steps")


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
