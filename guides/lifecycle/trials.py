"""Logs trial brews, and sets one aside, or back, that should not teach."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, replace

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.calculations.assessment import Targets
from guides.calculations.plan import Plan
from guides.calculations.validity import OutOfRange, Window
from guides.choices import Verb
from guides.models import TrialBrew, User

from . import audit, learning, reasons, roles, stored
from .assessing import assess_plan, conditions_of
from .brewed_plan import NoPlan, brewed_plan, planned, room_c
from .errors import Refusal, refuse_if
from .plan_of import targets_of

_PERMISSIONS = ["guides.add_trialbrew"]


@dataclass(frozen=True)
class Predicted:
    """What the calculations foresee of a brew as it was made, from the brews before it."""

    first_drip: Window | None
    drained: Window | None
    cup_g: Window
    strength: Window | None
    slurry_peak_c: float


def log(brew: TrialBrew, *, by: User, plan: Plan | None = None) -> TrialBrew:
    """Save a trial brew with the plan it was made from, what was foreseen of it, and what it teaches.

    Args:
        brew: the brew, new or corrected.
        by: who logs it.
        plan: what was planned, where neither a version nor an earlier log says so.

    Raises:
        Refused: not allowed.
    """
    refuse_if(roles.refusals(by, _PERMISSIONS, _("log trial brews")))
    with transaction.atomic():
        brew.planned = _planned(brew, plan)
        brew.predicted = stored.to_json(foreseen) if (foreseen := _foresee(brew)) else None
        brew.save()
        learning.learnt([brew])
        audit.record(
            Verb.LOGGED, by=by, version=brew.version, lot=brew.lot, trial=brew.pk,
        )  # fmt: skip
    return brew


def predicted(brew: TrialBrew) -> Predicted | None:
    """Give what was foreseen of a brew when it was logged; ``None`` where nothing could be."""
    return None if brew.predicted is None else stored.from_json(brew.predicted, Predicted)


def set_aside(brew: TrialBrew, *, by: User, reason: str, at: datetime.datetime | None = None) -> TrialBrew:
    """Let a brew stand in every list and teach nothing.

    Raises:
        Refused: not allowed, no reason, or set aside already.
    """
    refuse_if(
        [
            *roles.refusals(by, ["guides.change_trialbrew"], _("set trial brews aside")),
            *reasons.refusals(reason, "reason", 200),
        ]
    )
    with transaction.atomic():
        brew = TrialBrew.objects.select_for_update(of=("self",)).get(pk=brew.pk)
        if brew.is_set_aside:
            refuse_if([Refusal(_("This brew is set aside already."))])
        brew.set_aside_at, brew.set_aside_by, brew.set_aside_reason = at or timezone.now(), by, reason.strip()
        _keep_aside(brew)
        audit.record(
            Verb.SET_ASIDE, by=by, at=at, version=brew.version, lot=brew.lot, reason=brew.set_aside_reason,
            trial=brew.pk,
        )  # fmt: skip
    return brew


def take_back(brew: TrialBrew, *, by: User, at: datetime.datetime | None = None) -> TrialBrew:
    """Let a brew that was set aside teach again.

    Raises:
        Refused: not allowed, or not set aside.
    """
    refuse_if(roles.refusals(by, ["guides.change_trialbrew"], _("let trial brews count again")))
    with transaction.atomic():
        brew = TrialBrew.objects.select_for_update(of=("self",)).get(pk=brew.pk)
        if not brew.is_set_aside:
            refuse_if([Refusal(_("This brew counts already; there is nothing to take back."))])
        brew.set_aside_at, brew.set_aside_by, brew.set_aside_reason = None, None, ""
        _keep_aside(brew)
        audit.record(Verb.TOOK_BACK, by=by, at=at, version=brew.version, lot=brew.lot, trial=brew.pk)
    return brew


def _keep_aside(brew: TrialBrew) -> None:
    brew.save(update_fields=["set_aside_at", "set_aside_by", "set_aside_reason"])


def _planned(brew: TrialBrew, plan: Plan | None) -> dict[str, object] | None:
    """What was planned stays as it was first logged, unless another version is said to have been followed."""
    if plan is not None:
        return stored.to_json(plan)
    before = TrialBrew.objects.filter(pk=brew.pk).values("version", "planned").first()
    if before and before["version"] != brew.version_id:
        brew.planned = None
    followed = planned(brew)
    return None if followed is None else stored.to_json(followed)


def _foresee(brew: TrialBrew) -> Predicted | None:
    try:
        plan = replace(brewed_plan(brew), bypass_g=float(brew.bypass_g))
        known = conditions_of(brew.lot.coffee_id, brew.brewer_id, brew.lot, at=brew.brewed_at, without=brew.pk)
        targets = targets_of(brew.version) if brew.version else Targets()
        said = assess_plan(plan, replace(known, room_c=room_c(brew)), targets)
    except (OutOfRange, NoPlan):
        return None
    return Predicted(said.first_drip, said.drained, said.cup_g, said.strength, said.slurry_peak_c)
