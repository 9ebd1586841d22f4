"""Usual plans for the first version of a guide: which brewers they are offered in, and the plan itself."""

from __future__ import annotations

from collections.abc import Iterable

from guides.calculations.assessment import Conditions
from guides.calculations.plan import Plan
from guides.calculations.presets import Method, methods_for, usual_plan
from guides.calculations.validity import OutOfRange
from guides.models import Brewer, Guide, GuideVersion
from guides.queries import evidence

from .assessing import conditions_for
from .plan_of import brewer_of


def offered(brewers: Iterable[Brewer]) -> list[tuple[Brewer, tuple[Method, ...]]]:
    """Give the brewers that a usual plan fits, each with its methods."""
    found = []
    for brewer in brewers:
        try:
            methods = methods_for(brewer_of(brewer))
        except OutOfRange:  # measures that no brewer has are said on its own page and in the check
            continue
        if methods:
            found.append((brewer, methods))
    return found


def plan_for(
    method: Method,
    brewer: Brewer,
    guide: Guide | None = None,
    *,
    dose_g: float | None = None,
    water_g: float | None = None,
) -> Plan:
    """Give a usual plan for a guide's coffee in a brewer.

    Args:
        method: way to brew.
        brewer: where it is brewed.
        guide: whose coffee it is; without one, a lively coffee.
        dose_g: wanted dose in g, if any.
        water_g: wanted water through the coffee in g, if any.

    Raises:
        OutOfRange: a brewer the method is not made for, or a dose or water that does not fit it.
    """
    known = Conditions(altitude_m=evidence.altitude_m())
    if guide is not None:
        known = conditions_for(GuideVersion(guide=guide, brewer=brewer))
    return usual_plan(method, brewer_of(brewer), known, dose_g=dose_g, water_g=water_g)
