"""As much as fits: a pour up to the shut valve's limit, or a whole plan split so that its brewer holds it."""

from __future__ import annotations

from dataclasses import replace

from .assessment import USUAL, Conditions
from .brewing import COARSE_S, likely_course
from .constants import SHUT_MARGIN
from .plan import Action, Plan
from .rounding import round_down
from .shut_charge import most_held_g, shut_periods
from .timeline import on_the_clock
from .validity import OutOfRange
from .vessel import Flow
from .what_fits import LIMIT_STEP_G, shut_limit_g, split

_TRIES = 5


def fill_shut(plan: Plan, conditions: Conditions = USUAL) -> Plan:
    """Set the last pour to as much as fits above the shut valve, 5 % spared; the rest goes to the cup.

    Args:
        plan: a valve brew whose last pour ends while the valve is shut.
        conditions: where it is brewed, and with which coffee.

    Returns:
        The plan with its last target and its water rounded down to 10 g and the same water in all.

    Raises:
        OutOfRange: the valve is open when the last pour ends, or nothing more fits after the pour before.

    Valid range: valve brews.
    Source: what_fits.most_water_g and drawdown.simulate.

    >>> from .freshness import GasLevel
    >>> from .plan import Step
    >>> from .vessel import Brewer, Cone
    >>> cone = Brewer(Cone(30, 10), 240, 35, Flow.VALVE)
    >>> plan = Plan(15, 240, 93, 700, cone, (Step(Action.POUR, 0, 40, 240), Step(Action.OPEN, 90, 90)), 0,
    ...     valve_shut_at_start=True)
    >>> filled = fill_shut(plan, Conditions(gas=GasLevel.LIVELY))
    >>> (filled.water_g, filled.bypass_g, filled.steps[0].target_g)
    (180.0, 60.0, 180.0)
    """
    pours = [index for index, step in enumerate(plan.steps) if step.action is Action.POUR]
    if plan.brewer.flow is not Flow.VALVE or not pours:
        raise OutOfRange("pours", len(pours), low=1, high=None, reason="only above a shut valve is there a limit")
    index, total_g = pours[-1], plan.water_g + plan.bypass_g
    course = likely_course(plan, conditions)
    steps = on_the_clock(plan, course.timeline.times).steps
    ends_s = steps[index].end_s
    shut_s = [a for a, b in shut_periods(steps, plan.valve_shut_at_start) if a <= steps[index].start_s and ends_s <= b]
    if not shut_s:
        raise OutOfRange("end_s", ends_s, low=None, high=None, reason="the valve is open when the last pour ends")
    drained_g = max((point.drained_g for point in course.points if point.time_s <= ends_s), default=0.0)
    limit_g = shut_limit_g(plan.brewer.usable_ml, plan.dose_g, conditions.gas) * (1 - SHUT_MARGIN.value)
    target_g = round_down(min(drained_g + limit_g, total_g), LIMIT_STEP_G)
    before_g = max((plan.steps[pour].target_g or 0.0 for pour in pours[:-1]), default=0.0)
    if target_g <= before_g:
        raise OutOfRange("target_g", target_g, low=before_g, high=None, reason="nothing more fits after that pour")
    filled = tuple(replace(step, target_g=target_g) if at == index else step for at, step in enumerate(plan.steps))
    return replace(plan, steps=filled, water_g=target_g, bypass_g=total_g - target_g)


def split_to_fit(plan: Plan, conditions: Conditions = USUAL) -> Plan:
    """Send around the coffee what its brewer cannot hold; pours keep their shares.

    Args:
        plan: the brew.
        conditions: where it is brewed, and with which coffee.

    Returns:
        The plan itself if it fits, else one with less water through the coffee and as much more to the cup.

    Raises:
        OutOfRange: as for ``drawdown.simulate``, or bed and foam alone fill the brewer.

    Valid range: as for ``drawdown.simulate``.
    Source: what_fits.most_water_g and drawdown.simulate.

    >>> from .freshness import GasLevel
    >>> from .plan import Step
    >>> from .vessel import Brewer, Cone
    >>> cone = Brewer(Cone(30, 10), 240, 35, Flow.VALVE)
    >>> plan = Plan(15, 240, 93, 700, cone, (Step(Action.POUR, 0, 40, 240), Step(Action.OPEN, 90, 90)), 0,
    ...     valve_shut_at_start=True)
    >>> fits = split_to_fit(plan, Conditions(gas=GasLevel.LIVELY))
    >>> (fits.water_g, fits.bypass_g)
    (190.0, 50.0)
    """
    limit_g = shut_limit_g(plan.brewer.usable_ml, plan.dose_g, conditions.gas)
    if limit_g <= 0:
        raise OutOfRange("dose_g", plan.dose_g, low=None, high=None, reason="bed and foam alone fill this brewer")
    fits = plan
    for _ in range(_TRIES):
        held_g = most_held_g(likely_course(fits, conditions, COARSE_S).points)
        if held_g <= limit_g:
            return fits
        parts = split(fits.water_g, fits.bypass_g, held_g, limit_g)
        water_g = max(round_down(parts.water_g, LIMIT_STEP_G), LIMIT_STEP_G)
        fits = _with_water(fits, water_g)
    return fits


def _with_water(plan: Plan, water_g: float) -> Plan:
    share, moved_g = water_g / plan.water_g, plan.water_g - water_g
    steps = tuple(
        replace(step, target_g=step.target_g * share)
        if step.action is Action.POUR and step.target_g is not None
        else step
        for step in plan.steps
    )
    return replace(plan, water_g=water_g, bypass_g=plan.bypass_g + moved_g, steps=steps)
