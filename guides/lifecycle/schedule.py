"""Publishes at a time: set it, call it off, and do it when it is due."""

from __future__ import annotations

import datetime

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.choices import State, Verb
from guides.models import Event, Guide, GuideVersion, User

from . import audit, reasons
from .errors import Refusal, Refused, refuse_if
from .moving import begin
from .publish import publish
from .transitions import CALL_OFF, SCHEDULE

_LONGEST_REASON = 300


class NotYet(Exception):
    """It is not due by this machine's clock."""

    def __init__(self, wait: datetime.timedelta) -> None:
        self.wait = wait
        super().__init__(f"due in {wait}")


def schedule(
    version: GuideVersion, *, by: User, publish_at: datetime.datetime, at: datetime.datetime | None = None
) -> GuideVersion:
    """Set the time at which the worker publishes an approved version; setting it again moves it.

    Raises:
        Refused: not allowed, not in review, not approved, or a time that has passed.
    """
    at = at or timezone.now()
    with transaction.atomic():
        version = begin(version, SCHEDULE, by=by)
        found = []
        if version.approved_at is None:
            found.append(Refusal(_("Nobody has approved this version. Approve it first, then set the time."), "state"))
        if publish_at <= at:
            found.append(Refusal(_("Time: it has passed. Choose a later one, or publish now."), "publish_at"))
        refuse_if(found)
        version.publish_at, version.publish_by = publish_at, by
        version.save(update_fields=["publish_at", "publish_by"])
        audit.record(SCHEDULE.verb, by=by, at=at, version=version, publish_at=publish_at.isoformat())
    return version


def call_off(version: GuideVersion, *, by: User, reason: str) -> GuideVersion:
    """Take the time back; the version stays approved.

    Raises:
        Refused: not allowed, no time set, or no reason.
    """
    with transaction.atomic():
        version = begin(version, CALL_OFF, by=by)
        found = reasons.refusals(reason, "reason", _LONGEST_REASON)
        if version.publish_at is None:
            found.append(Refusal(_("No time is set; there is nothing to call off."), "publish_at"))
        refuse_if(found)
        version.publish_at = version.publish_by = None
        version.save(update_fields=["publish_at", "publish_by"])
        audit.record(CALL_OFF.verb, by=by, version=version, reason=reason.strip())
    return version


def due(*, at: datetime.datetime | None = None) -> QuerySet[GuideVersion]:
    """Give the versions whose time has come."""
    return GuideVersion.objects.filter(state=State.IN_REVIEW, publish_at__lte=at or timezone.now())


def publish_due(version_id: int, set_for: datetime.datetime, *, at: datetime.datetime | None = None) -> bool:
    """Publish a version at the time set, as whoever set it. Called twice, it is done once.

    Args:
        version_id: the version.
        set_for: the time it was set for; another time set since has a call of its own.
        at: now, if not given.

    Returns:
        Whether this call published it; ``False`` where it was called off, moved or published by hand meanwhile.

    Raises:
        NotYet: it is not due.
        Refused: it cannot be published any more. That is in its history, and the time is taken back.
    """
    at = at or timezone.now()
    if set_for > at:
        raise NotYet(set_for - at)
    try:
        with transaction.atomic():
            version = _held(version_id, set_for)
            if version is None or version.publish_by is None:
                return _told_before(version_id, set_for)
            publish(version, by=version.publish_by, at=at)
    except Refused as refused:
        _give_up(version_id, set_for, refused, at)
        raise
    return True


def _held(version_id: int, set_for: datetime.datetime) -> GuideVersion | None:
    """Keep others from moving the version, and give it if it is still set for that time."""
    ours = GuideVersion.objects.filter(pk=version_id)
    Guide.objects.select_for_update().filter(pk__in=ours.values("guide")).first()
    return ours.filter(state=State.IN_REVIEW, publish_at=set_for).select_related("publish_by").first()


def _told_before(version_id: int, set_for: datetime.datetime) -> bool:
    """A worker may be killed between giving up and saying so: the next one says it."""
    told = Event.objects.filter(
        version_id=version_id, verb=Verb.NOT_PUBLISHED, details__publish_at=set_for.isoformat()
    ).first()
    if told is not None:
        raise Refused(Refusal(told.reason))
    return False


def _give_up(version_id: int, set_for: datetime.datetime, refused: Refused, at: datetime.datetime) -> None:
    with transaction.atomic():
        version = _held(version_id, set_for)
        if version is None or version.publish_by is None:
            return
        by, version.publish_at, version.publish_by = version.publish_by, None, None
        version.save(update_fields=["publish_at", "publish_by"])
        audit.record(
            Verb.NOT_PUBLISHED,
            by=by,
            at=at,
            version=version,
            reason=str(refused)[:_LONGEST_REASON],
            publish_at=set_for.isoformat(),
        )
