"""Which dose a reader's wish comes to."""

from __future__ import annotations

import math
from dataclasses import replace

from .adaptation import Request
from .assessment import Conditions
from .brewing import COARSE_S, likely_course
from .constants import HOT_WATER_FILL, LEFT_IN_JAR_G, SHUT_MARGIN
from .freshness import GasLevel, first_pour_g
from .plan import Action, Plan
from .plan_rules import MOST_DOSE_G
from .pour_speeds import keep_speeds
from .retention import retention_window
from .rounding import one_decimal
from .scaling import cup_ratio, dose_for_cup_g, scale_to_dose
from .shut_charge import most_held_g
from .validity import OutOfRange, check_range
from .vessel import Flow
from .what_fits import most_water_g


def check_size(request: Request) -> str | None:
    """Check that a request asks for at most one size.

    Args:
        request: what the reader has and wants.

    Returns:
        The reason the dose will change for, a key of ``findings.REASONS``, or ``None``.

    Raises:
        OutOfRange: two sizes at once, or one that is not above 0.

    Valid range: at most one size.
    Source: definition.

    >>> check_size(Request(cup_g=300))
    'asked_cup'
    """
    for name, mass in (("dose_g", request.dose_g), ("cup_g", request.cup_g), ("bag_left_g", request.bag_left_g)):
        if mass is not None:
            check_range(name, mass, above=0, high=20_000, reason="one brew, by hand")
    asked = [
        reason
        for reason, wish in (
            ("asked_dose", request.dose_g is not None),
            ("asked_cup", request.cup_g is not None),
            ("finishes_bag", request.bag_left_g is not None),
            ("fills_brewer", request.fill_brewer),
        )
        if wish
    ]
    check_range("sizes", len(asked), high=1, reason="ask for a dose, a cup, a full brewer or the rest of the bag")
    return asked[0] if asked else None


def dose_wanted_g(plan: Plan, request: Request, conditions: Conditions) -> float:
    """Give the dose a request comes to, to 0.1 g.

    Args:
        plan: the guide's plan, in the reader's brewer.
        request: what the reader has and wants.
        conditions: where they brew, and with which coffee.

    Returns:
        Dose in g; the guide's own where no size is asked.

    Raises:
        OutOfRange: as for ``check_size``, or a dose outside 1 to 300 g.

    Valid range: doses 1 to 300 g.
    Source: definition; as much as fits from drawdown.simulate.

    >>> from .vessel import Brewer, Cone
    >>> plan = Plan(15, 240, 93, 700, Brewer(Cone(30, 10), 500, 60, Flow.OPEN), ())
    >>> dose_wanted_g(plan, Request(cup_g=300), Conditions())
    21.6
    """
    match check_size(request):
        case "asked_cup":
            kept = retention_window(conditions.trial_retentions).likely
            ratio = cup_ratio(plan.dose_g, plan.water_g, plan.bypass_g, plan.ice_g)
            left_g = LEFT_IN_JAR_G.value if plan.brewer.flow is Flow.CLOSED else 0.0
            dose_g = dose_for_cup_g((request.cup_g or 0.0) + left_g, ratio, kept)
        case "fills_brewer":
            dose_g = fullest_dose_g(plan, conditions)
        case _:
            dose_g = request.dose_g or request.bag_left_g or plan.dose_g
    return check_range("dose_g", one_decimal(dose_g), low=1, high=MOST_DOSE_G, reason="one brew, by hand")


def resized(plan: Plan, dose_g: float) -> Plan:
    """Scale a plan and keep its pours within good practice.

    Args:
        plan: the brew.
        dose_g: wanted dose in g.

    Returns:
        The plan in full precision.

    Raises:
        OutOfRange: a dose that is not above 0.

    Valid range: doses above 0.
    Source: scaling.scale_to_dose, pour_speeds.keep_speeds.

    >>> from .vessel import Brewer, Cone
    >>> resized(Plan(15, 240, 93, 700, Brewer(Cone(30, 10), 500, 60, Flow.OPEN), ()), 30).water_g
    480.0
    """
    return keep_speeds(scale_to_dose(plan, dose_g), plan)


def fullest_dose_g(plan: Plan, conditions: Conditions) -> float:
    """Give the largest whole dose, at the plan's ratios, that leaves 5 % of its brewer free.

    Args:
        plan: the brew, in the reader's brewer.
        conditions: where they brew, and with which coffee.

    Returns:
        Dose in g, up to 300 g.

    Raises:
        OutOfRange: not even 1 g fits.

    Valid range: as for ``drawdown.simulate``.
    Source: what_fits.most_water_g and drawdown.simulate, searched by false position.

    >>> from .plan import Step
    >>> from .vessel import Brewer, Cylinder
    >>> jar = Brewer(Cylinder(45), 900, 150, Flow.CLOSED)
    >>> steps = (Step(Action.POUR, 0, 30, 480), Step(Action.DECANT, 480, 520))
    >>> fullest_dose_g(Plan(32, 480, 95, 950, jar, steps), Conditions(gas=GasLevel.RESTED))
    50.0
    """

    def excess_g(dose_g: int) -> float:
        limit_g = most_water_g(plan.brewer.usable_ml, dose_g, conditions.gas) * (1 - SHUT_MARGIN.value)
        if limit_g <= 0:
            return plan.water_g
        return most_held_g(likely_course(resized(plan, dose_g), conditions, COARSE_S).points) - limit_g

    low, high = 0, int(MOST_DOSE_G) + 1
    over_low, over_high = -HOT_WATER_FILL.value * plan.brewer.usable_ml, math.inf
    guess = round(plan.dose_g)
    while high - low > 1:
        guess = min(max(guess, low + 1), high - 1)
        over = excess_g(guess)
        if over <= 0:
            low, over_low = guess, over
        else:
            high, over_high = guess, over
        if math.isinf(over_high):
            guess = 2 * low
        else:  # both sides are nearly straight in the dose; one gram on, so that the bracket closes from both ends
            guess = low + max(int((high - low) * over_low / (over_low - over_high)), 1)
            guess = guess + 1 if guess == low else guess
    if low == 0:
        raise OutOfRange("usable_ml", plan.brewer.usable_ml, low=None, high=None, reason="not even 1 g of coffee fits")
    return float(low)


def for_gas(plan: Plan, written: GasLevel, now: GasLevel) -> Plan:
    """Give a fresher coffee a larger first pour in an open brewer, so that its gas gets out.

    Args:
        plan: the brew.
        written: gas level the guide was written with.
        now: gas level of the reader's bag.

    Returns:
        The plan; unchanged for a coffee that is no fresher, for other brewers and for a single pour.

    Source: common practice, no source (2 to 3 times the dose).

    >>> from .plan import Step
    >>> from .vessel import Brewer, Cone
    >>> cone = Brewer(Cone(30, 10), 500, 60, Flow.OPEN)
    >>> plan = Plan(16, 256, 93, 700, cone, (Step(Action.POUR, 0, 10, 32), Step(Action.POUR, 45, 75, 256)))
    >>> for_gas(plan, GasLevel.RESTED, GasLevel.VERY_FRESH).steps[0].target_g
    48.0
    """
    pours = [index for index, step in enumerate(plan.steps) if step.action is Action.POUR]
    if plan.brewer.flow is not Flow.OPEN or len(pours) < 2:
        return plan
    more = first_pour_g(plan.dose_g, now) / first_pour_g(plan.dose_g, written)
    first, second = plan.steps[pours[0]], plan.steps[pours[1]]
    if more <= 1 or first.target_g is None or second.target_g is None:
        return plan
    target_g = min(first.target_g * more, first_pour_g(plan.dose_g, now), (first.target_g + second.target_g) / 2)
    if target_g <= first.target_g:
        return plan
    steps = list(plan.steps)
    steps[pours[0]] = replace(first, target_g=target_g)
    return replace(plan, steps=tuple(steps))
