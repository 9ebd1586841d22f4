"""Usual plans to begin a guide from: four methods, each scaled to a dose and to what the brewer surely holds."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

from .assessment import USUAL, Conditions
from .brewing import likely_course
from .constants import (
    ICE_DOSE_G,
    ICE_GRIND_UM,
    ICE_HOT_RATIO,
    ICE_KETTLE_C,
    ICE_RATIO,
    JAR_DOSE_G,
    JAR_GRIND_UM,
    JAR_KETTLE_C,
    JAR_RATIO,
    PULSES_GRIND_UM,
    PULSES_KETTLE_C,
    SHUT_GRIND_UM,
    SHUT_KETTLE_C,
    SHUT_MARGIN,
    SHUT_RATIO_LEAST,
    USUAL_DOSE_G,
    USUAL_POUR_G_S,
    USUAL_RATIO,
    Constant,
)
from .freshness import GasLevel, first_pour_g
from .plan import Action, Anchor, Height, Path, Plan, Step
from .rounding import round_half_up
from .shut_charge import most_held_g
from .thermal import kettle_cap_c
from .validity import check_range
from .vessel import Brewer, Flow
from .what_fits import shut_limit_g


class Method(StrEnum):
    """Ways to brew that a plan may begin from."""

    VALVE = "valve"  # shut first, opened for the last pour
    PULSES = "pulses"
    IMMERSION = "immersion"
    OVER_ICE = "over_ice"


LEAST_DOSE_G: Final = 5.0
MOST_DOSE_G: Final = 100.0
_PULSES: Final = 3


@dataclass(frozen=True)
class _Usual:
    """Where a method begins: ratio of the water through the coffee, and the smallest that still is the method."""

    flows: tuple[Flow, ...]
    dose: Constant
    ratio: Constant
    least_ratio: Constant
    kettle: Constant
    grind: Constant
    steps: Callable[[Plan, GasLevel], Sequence[Step]]


def methods_for(brewer: Brewer, gas: GasLevel = GasLevel.LIVELY) -> tuple[Method, ...]:
    """Give the methods a brewer is made for and large enough for.

    Args:
        brewer: where it is brewed.
        gas: gas level of the coffee.

    Returns:
        Methods, in the order they are offered.

    Raises:
        OutOfRange: as for ``what_fits.most_water_g``.

    Valid range: as for ``what_fits.most_water_g``.
    Source: common practice, no source.

    >>> from .vessel import Cone
    >>> methods_for(Brewer(Cone(30, 10), 240, 35, Flow.VALVE))
    (<Method.VALVE: 'valve'>, <Method.PULSES: 'pulses'>, <Method.OVER_ICE: 'over_ice'>)
    """
    return tuple(
        method
        for method, usual in _USUAL.items()
        if brewer.flow in usual.flows and most_dose_g(method, brewer, gas) >= LEAST_DOSE_G
    )


def most_dose_g(method: Method, brewer: Brewer, gas: GasLevel = GasLevel.LIVELY) -> float:
    """Give the largest dose whose water the brewer holds at once, so that it cannot run over however slowly it drains.

    Args:
        method: way to brew.
        brewer: where it is brewed.
        gas: gas level of the coffee.

    Returns:
        Whole grams, up to 100; 0 where not even a gram fits.

    Raises:
        OutOfRange: as for ``what_fits.most_water_g``.

    Valid range: as for ``what_fits.most_water_g``.
    Source: common practice, no source.

    >>> from .vessel import Cone
    >>> most_dose_g(Method.VALVE, Brewer(Cone(30, 10), 240, 35, Flow.VALVE))
    15.0
    """
    ratio = _USUAL[method].least_ratio.value
    doses = (float(dose) for dose in range(int(MOST_DOSE_G), 0, -1))
    return next((dose for dose in doses if round_half_up(ratio * dose) <= _room_g(brewer, dose, gas)), 0.0)


def usual_plan(
    method: Method,
    brewer: Brewer,
    conditions: Conditions = USUAL,
    *,
    dose_g: float | None = None,
    water_g: float | None = None,
) -> Plan:
    """Give a sensible plan to begin from.

    The first pour is 2 to 3 times the dose by the coffee's gas; with a valve no more goes through the coffee than fits
    above it, and the rest goes into the cup.

    Args:
        method: way to brew.
        brewer: where it is brewed.
        conditions: where, and with which coffee.
        dose_g: wanted dose in g; the method's usual one, or what fits, if not given.
        water_g: wanted water through the coffee in g; by the method's ratio if not given.

    Returns:
        The plan in whole grams and seconds.

    Raises:
        OutOfRange: a brewer the method is not made for (``flow``), or a dose or water that does not fit it.

    Valid range: dose 5 to 100 g; water 6 to 25 times the dose.
    Source: common practice, no source.

    >>> from .vessel import Cone
    >>> plan = usual_plan(Method.VALVE, Brewer(Cone(30, 10), 240, 35, Flow.VALVE))
    >>> plan.dose_g, plan.water_g, plan.bypass_g
    (15.0, 180.0, 60.0)
    """
    usual, gas = _USUAL[method], conditions.gas
    offered = float(method in methods_for(brewer, gas))
    check_range("flow", offered, low=1, reason="the method is not made for this brewer")
    most_g = most_dose_g(method, brewer, gas)
    dose = min(usual.dose.value, most_g) if dose_g is None else dose_g
    check_range("dose_g", dose, low=LEAST_DOSE_G, high=MOST_DOSE_G, reason="one brew, by hand")
    if water_g is not None:
        check_range("water_g", water_g, low=6 * dose, high=25 * dose, reason="a brew to drink")
    room_g, bypass_g = _room_g(brewer, dose, gas), 0.0
    through_g = round_half_up(usual.ratio.value * dose) if water_g is None else water_g
    if method is Method.VALVE and water_g is None:
        cup_g, through_g = through_g, min(through_g, float(math.floor(room_g)))
        bypass_g = cup_g - through_g
        fits = through_g >= round_half_up(usual.least_ratio.value * dose)
        check_range("dose_g", dose, high=dose if fits else most_g, reason="what fits above the valve")
    elif method is Method.VALVE:
        check_range("water_g", through_g, high=math.floor(room_g), reason="what fits above the valve")
    plan = Plan(
        dose_g=float(dose),
        water_g=float(through_g),
        kettle_c=float(min(usual.kettle.value, math.floor(kettle_cap_c(conditions.altitude_m)))),
        grind_um=usual.grind.value,
        brewer=brewer,
        steps=(),
        bypass_g=float(bypass_g),
        ice_g=round_half_up(ICE_RATIO.value * dose) if method is Method.OVER_ICE else 0.0,
        valve_shut_at_start=method is Method.VALVE,
    )
    plan = replace(plan, steps=tuple(usual.steps(plan, gas)))
    if through_g > room_g:
        holds = brewer.flow is not Flow.CLOSED and most_held_g(likely_course(plan, conditions).points) <= room_g
        check_range("dose_g", dose, high=dose if holds else most_g, reason="what the brewer holds")
    return plan


def _room_g(brewer: Brewer, dose_g: float, gas: GasLevel) -> float:
    """Water that fits while nothing runs off, with the margin a plan keeps."""
    return shut_limit_g(brewer.usable_ml, dose_g, gas) * (1 - SHUT_MARGIN.value)


def _pour(start_s: float, from_g: float, to_g: float, path: Path) -> Step:
    lasts_s = max(math.ceil((to_g - from_g) / USUAL_POUR_G_S.value), 1)
    return Step(Action.POUR, start_s, start_s + lasts_s, to_g, height=Height.LOW, path=path)


def _bloom(plan: Plan, gas: GasLevel) -> Step:
    return _pour(0, 0, round_half_up(first_pour_g(plan.dose_g, gas)), Path.SPIRAL_IN)


def _pours(plan: Plan, gas: GasLevel, count: int, rest_s: float, wait_s: float = 45) -> list[Step]:
    """A bloom of 30 to 45 s and so many even pours after it."""
    steps = [_bloom(plan, gas)]
    first_g = steps[0].target_g or 0.0
    for number in range(1, count + 1):
        before = steps[-1]
        start_s = max(wait_s, before.end_s + 15) if number == 1 else before.end_s + rest_s
        target_g = (
            plan.water_g if number == count else round_half_up(first_g + (plan.water_g - first_g) * number / count)
        )
        steps.append(_pour(start_s, before.target_g or 0.0, target_g, Path.SPIRAL_OUT))
    return steps


def _shut_first(plan: Plan, gas: GasLevel) -> list[Step]:
    """Two thirds steep above the shut valve, the last third rinses through the open bed."""
    bloom = _bloom(plan, gas)
    steep_g = max(round_half_up(plan.water_g * 2 / 3), (bloom.target_g or 0.0) + 1)
    second = _pour(max(40, bloom.end_s + 15), bloom.target_g or 0.0, steep_g, Path.SPIRAL_OUT)
    stir = Step(Action.STIR, second.end_s + 5, second.end_s + 8, turns=1)
    opened_s = max(75, stir.end_s + 7)
    steps = [
        bloom,
        second,
        stir,
        Step(Action.OPEN, opened_s, opened_s),
        _pour(opened_s + 10, steep_g, plan.water_g, Path.CENTRE),
    ]
    if plan.bypass_g:
        steps.append(Step(Action.ADD_BYPASS, 0, 10, plan.water_g + plan.bypass_g, Anchor.DRAINED))
    return steps


def _in_pulses(plan: Plan, gas: GasLevel) -> list[Step]:
    steps = _pours(plan, gas, _PULSES, 15)
    return [*steps, Step(Action.SWIRL, steps[-1].end_s + 5, steps[-1].end_s + 8, turns=1)]


def _steeped(plan: Plan, gas: GasLevel) -> list[Step]:
    fill = _pour(0, 0, plan.water_g, Path.SPIRAL_OUT)
    stirred_s = fill.end_s + 5
    crust_s = max(240, stirred_s + 60)
    return [
        fill,
        Step(Action.STIR, stirred_s, stirred_s + 10, turns=3),
        Step(Action.LID, stirred_s + 15, stirred_s + 15),
        Step(Action.BREAK_CRUST, crust_s, crust_s + 20),
        Step(Action.DECANT, crust_s + 240, crust_s + 270),
    ]


def _over_ice(plan: Plan, gas: GasLevel) -> list[Step]:
    steps = _pours(plan, gas, 2, 15)
    return [*steps, Step(Action.SWIRL, 0, 20, anchor=Anchor.DRAINED)]


_USUAL: Final = {
    Method.VALVE: _Usual(
        (Flow.VALVE,), USUAL_DOSE_G, USUAL_RATIO, SHUT_RATIO_LEAST, SHUT_KETTLE_C, SHUT_GRIND_UM, _shut_first
    ),
    Method.PULSES: _Usual(
        (Flow.OPEN, Flow.VALVE), USUAL_DOSE_G, USUAL_RATIO, USUAL_RATIO, PULSES_KETTLE_C, PULSES_GRIND_UM, _in_pulses
    ),
    Method.IMMERSION: _Usual((Flow.CLOSED,), JAR_DOSE_G, JAR_RATIO, JAR_RATIO, JAR_KETTLE_C, JAR_GRIND_UM, _steeped),
    Method.OVER_ICE: _Usual(
        (Flow.OPEN, Flow.VALVE), ICE_DOSE_G, ICE_HOT_RATIO, ICE_HOT_RATIO, ICE_KETTLE_C, ICE_GRIND_UM, _over_ice
    ),
}
