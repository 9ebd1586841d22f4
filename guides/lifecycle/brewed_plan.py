"""The plan a trial brew really was: what was planned, with what was weighed, read, ground, poured and opened."""

from __future__ import annotations

from dataclasses import replace

from guides.calculations import plan as plans
from guides.calculations.assessment import USUAL
from guides.calculations.plan import Action, Anchor, Plan, Step
from guides.calculations.scaling import scale_to_water
from guides.calculations.vessel import Flow
from guides.models import GuideVersion, TrialBrew

from . import stored
from .plan_of import brewer_of, plan_of


class NoPlan(ValueError):
    """A brew that followed no plan, and whose pours were not written down."""


def planned(brew: TrialBrew) -> Plan | None:
    """Give the plan a brew was made from, as it stood on the day; ``None`` where there was none."""
    if brew.planned is not None:
        return stored.from_json(brew.planned, Plan)
    return plan_of(brew.version) if brew.version else None


def brewed_plan(brew: TrialBrew) -> Plan:
    """Give the plan of a brew as it was made.

    Raises:
        OutOfRange: masses that no brew has.
        NoPlan: nothing says how it was poured.
    """
    followed = planned(brew)
    if followed is None:
        if not brew.pours:
            raise NoPlan(f"{brew} followed no plan.")
        followed = _written_down(brew)
    plan = _poured(brew, weighed(brew, followed))
    return plan if brew.opened_s is None else _opened_at(plan, float(brew.opened_s))


def weighed_plan(brew: TrialBrew, followed: GuideVersion) -> Plan:
    """Give the plan of a version with what a brew really weighed, read, ground and poured.

    Raises:
        OutOfRange: masses that no brew has.
    """
    return _poured(brew, weighed(brew, plan_of(followed)))


def weighed(brew: TrialBrew, plan: Plan) -> Plan:
    """Give a plan with what a brew weighed, read and ground; its times as they were written.

    Raises:
        OutOfRange: masses that no brew has.
    """
    return replace(
        scale_to_water(plan, float(brew.water_g)),
        dose_g=float(brew.dose_g),
        kettle_c=float(brew.kettle_c),
        grind_um=float(brew.grind_um),
        brewer=brewer_of(brew.brewer),
    )


def room_c(brew: TrialBrew) -> float:
    """Give the temperature of the room in degrees C: as it was noted, else as it usually is."""
    return USUAL.room_c if brew.room_c is None else float(brew.room_c)


def _poured(brew: TrialBrew, plan: Plan) -> Plan:
    """Put the pours as they were into a plan that has as many; otherwise it was another brew, and stays a guess."""
    pours = [index for index, step in enumerate(plan.steps) if step.action is Action.POUR]
    if not brew.pours or len(brew.pours) != len(pours):
        return plan
    steps = list(plan.steps)
    for index, (start_s, end_s, target_g) in zip(pours, brew.pours, strict=True):
        steps[index] = replace(
            steps[index], anchor=Anchor.START, start_s=float(start_s), end_s=float(end_s), target_g=float(target_g)
        )
    steps[pours[-1]] = replace(steps[pours[-1]], target_g=plan.water_g)
    return replace(plan, steps=tuple(steps))


def _written_down(brew: TrialBrew) -> Plan:
    steps = [Step(Action.POUR, float(start), float(end), float(target)) for start, end, target in brew.pours]
    brewer = brewer_of(brew.brewer)
    shut = brewer.flow is Flow.VALVE and brew.opened_s is not None
    if shut:
        opened_s = float(brew.opened_s or 0)
        before = sum(step.start_s < opened_s for step in steps)
        steps.insert(before, Step(Action.OPEN, opened_s, opened_s))
    return plans.Plan(
        dose_g=float(brew.dose_g),
        water_g=float(brew.pours[-1][2]),
        kettle_c=float(brew.kettle_c),
        grind_um=float(brew.grind_um),
        brewer=brewer,
        steps=tuple(steps),
        bypass_g=float(brew.bypass_g),
        valve_shut_at_start=shut,
    )


def _opened_at(plan: Plan, opened_s: float) -> Plan:
    opens = [index for index, step in enumerate(plan.steps) if step.action is Action.OPEN]
    steps = list(plan.steps)
    for index in opens[:1]:
        steps[index] = replace(steps[index], anchor=Anchor.START, start_s=opened_s, end_s=opened_s)
    return replace(plan, steps=tuple(steps))
