"""What each trial brew teaches: how fast the coffee lets water through, and how much the grounds keep."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import lru_cache

from guides.calculations.constants import RETENTION
from guides.calculations.flow import factor_from_drained_time
from guides.calculations.plan import Action, Anchor, Plan
from guides.calculations.retention import measured_retention, retention_window
from guides.calculations.scaling import scale_to_water
from guides.calculations.validity import OutOfRange
from guides.choices import Outflow
from guides.models import GuideVersion, TrialBrew

from .plan_of import brewer_of, plan_of


def flow_factors(brews: Iterable[TrialBrew]) -> tuple[float, ...]:
    """Give the flow factor of every brew that followed a plan and whose drained time was noted.

    A time that no coffee explains (a slip of the pen, a valve left shut) teaches nothing and is left out.
    """
    found = (
        _flow_factor(brewed_plan(brew), float(brew.drained_s), retention(brew) or RETENTION.value)
        for brew in brews
        if brew.version is not None and brew.drained_s and brew.brewer.outflow != Outflow.CLOSED
    )
    return tuple(factor for factor in found if factor is not None)


def retentions(brews: Iterable[TrialBrew]) -> tuple[float, ...]:
    """Give the liquid kept, in g per g of dose, by the grounds of every brew whose cup was weighed."""
    found = (retention(brew) for brew in brews)
    return tuple(kept for kept in found if kept is not None)


def retention(brew: TrialBrew) -> float | None:
    """Give what one brew's grounds kept; nothing if its cup was not weighed or cannot be right."""
    if brew.cup_g is None:
        return None
    ice_g = brew.version.ice_g if brew.version else 0
    try:
        kept = measured_retention(float(brew.dose_g), float(brew.water_g), float(brew.cup_g - brew.bypass_g - ice_g))
        retention_window([kept])
    except OutOfRange:
        return None
    return kept


def brewed_plan(brew: TrialBrew) -> Plan:
    """Give the plan a brew followed, with what was really weighed, read, ground and opened.

    Raises:
        OutOfRange: masses that no brew has.
        ValueError: the brew followed no plan.
    """
    if brew.version is None:
        raise ValueError(f"{brew} followed no plan.")
    plan = weighed_plan(brew, brew.version)
    return plan if brew.opened_s is None else _opened_at(plan, float(brew.opened_s))


def weighed_plan(brew: TrialBrew, followed: GuideVersion) -> Plan:
    """Give a plan with what a brew really weighed, read and ground; its times as they were written.

    Raises:
        OutOfRange: masses that no brew has.
    """
    return replace(
        scale_to_water(plan_of(followed), float(brew.water_g)),
        dose_g=float(brew.dose_g),
        kettle_c=float(brew.kettle_c),
        grind_um=float(brew.grind_um),
        brewer=brewer_of(brew.brewer),
    )


def _opened_at(plan: Plan, opened_s: float) -> Plan:
    opens = [index for index, step in enumerate(plan.steps) if step.action is Action.OPEN]
    steps = list(plan.steps)
    for index in opens[:1]:
        steps[index] = replace(steps[index], anchor=Anchor.START, start_s=opened_s, end_s=opened_s)
    return replace(plan, steps=tuple(steps))


@lru_cache(maxsize=1024)  # a pure function of frozen values; a search takes dozens of simulated brews
def _flow_factor(plan: Plan, drained_s: float, retention_g_g: float) -> float | None:
    try:
        return factor_from_drained_time(plan, drained_s, retention_g_g=retention_g_g)
    except OutOfRange:
        return None
