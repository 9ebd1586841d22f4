"""The trial brews that a guide version stands on."""

from __future__ import annotations

from dataclasses import dataclass

from guides.choices import Verb
from guides.models import Event, GuideVersion, TrialBrew

from . import evidence


@dataclass(frozen=True)
class Behind:
    """``trials`` taught its figures; ``chosen`` is the brew whose numbers it was opened with, if it was from one."""

    trials: int
    chosen: TrialBrew | None


def behind(version: GuideVersion) -> Behind:
    """Give what a version stands on: once published, what it stood on then."""
    opened = Event.objects.filter(guide=version.guide_id, version_id=version.pk, verb=Verb.OPENED_DRAFT)
    keys = [event.details.get("trial") for event in opened.order_by("-pk")]
    brews = TrialBrew.objects.select_related("lot", "brewed_by", "brewer")
    chosen = next((brews.filter(pk=key).first() for key in keys if key), None)
    return Behind(_kept(version) if version.snapshot else _now(version), chosen)


def _kept(version: GuideVersion) -> int:
    known = (version.snapshot or {}).get("conditions", {})
    others = sum(len(factors) for factors in known.get("other_lots_flow_factors", ()))
    return len(known.get("trial_flow_factors", ())) + others


def _now(version: GuideVersion) -> int:
    return evidence.trials(version.guide.coffee_id, version.brewer_id).filter(drained_s__isnull=False).count()
