"""What a trial brew sets out to do: a plan from a version, another brew or a usual plan, with something changed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Final

from guides.calculations.assessment import Conditions, Targets
from guides.calculations.openings import with_opening
from guides.calculations.plan import Action, Plan
from guides.calculations.presets import Method, usual_plan
from guides.calculations.scaling import rounded, scale_to_water
from guides.models import Brewer, GuideVersion, Lot, TrialBrew

from .assessing import conditions_of
from .brewed_plan import NoPlan, planned, weighed
from .plan_of import brewer_of, plan_of, targets_of

CHANGED: Final = ("dose_g", "water_g", "bypass_g", "kettle_c", "grind_um", "opened_s")
"""What a trial may change against the plan it comes from."""


@dataclass(frozen=True)
class Change:
    """One number that is not as it was; ``name`` is one of ``CHANGED``, the values in its unit."""

    name: str
    before: float
    after: float


@dataclass(frozen=True)
class Intention:
    """A trial to be brewed. ``version`` and ``repeats`` say what it comes from, ``method`` if that is a usual plan."""

    lot: Lot
    brewer: Brewer
    source: Plan
    plan: Plan
    targets: Targets
    conditions: Conditions
    version: GuideVersion | None = None
    repeats: TrialBrew | None = None
    method: Method | None = None

    @property
    def changes(self) -> tuple[Change, ...]:
        """What is not as it was: one thing at a time says what did it."""
        return tuple(_changes(self.source, self.plan))


def from_version(version: GuideVersion, lot: Lot, wishes: Mapping[str, float]) -> Intention:
    """Set out from a version.

    Raises:
        OutOfRange: a wish that no brew has.
    """
    return _intend(plan_of(version), lot, version.brewer, wishes, targets_of(version), version=version)


def from_brew(brew: TrialBrew, lot: Lot, wishes: Mapping[str, float]) -> Intention:
    """Set out from another brew: its plan, with what it really weighed, read and ground.

    Raises:
        OutOfRange: a wish that no brew has.
        NoPlan: the brew followed none.
    """
    followed = planned(brew)
    if followed is None:
        raise NoPlan(f"{brew} followed no plan.")
    source = rounded(replace(weighed(brew, followed), bypass_g=float(brew.bypass_g)))
    if brew.opened_s is not None and source.valve_shut_at_start:
        source = with_opening(source, float(brew.opened_s))
    targets = targets_of(brew.version) if brew.version else Targets()
    return _intend(source, lot, brew.brewer, wishes, targets, version=brew.version, repeats=brew)


def from_method(method: Method, brewer: Brewer, lot: Lot, wishes: Mapping[str, float]) -> Intention:
    """Set out from a usual plan for the lot's coffee.

    Raises:
        OutOfRange: a brewer the method is not made for, or a wish that no brew has.
    """
    known = conditions_of(lot.coffee_id, brewer.pk, lot)
    return _intend(usual_plan(method, brewer_of(brewer), known), lot, brewer, wishes, Targets(), method=method)


def opening_s(plan: Plan) -> float | None:
    """Give the clock second at which a shut valve is first opened; ``None`` where there is none."""
    if not plan.valve_shut_at_start:
        return None
    return next((step.start_s for step in plan.steps if step.action is Action.OPEN), None)


def number(plan: Plan, name: str) -> float | None:
    """Give one of the numbers in ``CHANGED``."""
    return opening_s(plan) if name == "opened_s" else float(getattr(plan, name))


def _intend(
    source: Plan,
    lot: Lot,
    brewer: Brewer,
    wishes: Mapping[str, float],
    targets: Targets,
    *,
    version: GuideVersion | None = None,
    repeats: TrialBrew | None = None,
    method: Method | None = None,
) -> Intention:
    plan = source
    if "water_g" in wishes and wishes["water_g"] != source.water_g:
        plan = rounded(scale_to_water(plan, wishes["water_g"]))
    plain = {name: value for name, value in wishes.items() if name not in ("water_g", "opened_s")}
    plan = replace(plan, **plain)  # type: ignore[arg-type]
    if "bypass_g" in plain or plan.water_g != source.water_g:
        plan = _with_bypass(plan)
    if "opened_s" in wishes and opening_s(plan) not in (None, wishes["opened_s"]):
        plan = with_opening(plan, wishes["opened_s"])
    known = conditions_of(lot.coffee_id, brewer.pk, lot)
    return Intention(lot, brewer, source, plan, targets, known, version, repeats, method)


def _with_bypass(plan: Plan) -> Plan:
    """Let the step that adds water to the cup end where the plan now says; without water there is no such step."""
    steps = [
        replace(step, target_g=plan.water_g + plan.bypass_g) if step.action is Action.ADD_BYPASS else step
        for step in plan.steps
        if step.action is not Action.ADD_BYPASS or plan.bypass_g > 0
    ]
    return replace(plan, steps=tuple(steps), bypass_to_taste=plan.bypass_to_taste and plan.bypass_g > 0)


def _changes(source: Plan, plan: Plan) -> Iterator[Change]:
    for name in CHANGED:
        before, after = number(source, name), number(plan, name)
        if before is not None and after is not None and before != after:
            yield Change(name, before, after)
