"""A published plan made the reader's own: their size, brewer, grinder, kitchen, water and coffee.

Ratios are kept exactly; what the draining bed makes of the new size is predicted, and the grind follows so that the
brew drains when the guide's does. What cannot be honoured is said, not hidden.
"""

from __future__ import annotations

from dataclasses import replace

from .adaptation import Adapted, Change, Confidence, Request, Unmet
from .assess import assess
from .assessment import NO_TARGETS, USUAL, Assessment, Conditions, Targets
from .changes import Expected, list_changes
from .dialing import drained_s
from .plan import Plan
from .plan_rules import check_numbers
from .reworking import Reworking
from .sizing import check_size
from .thermal import boiling_point_c
from .validity import check_range
from .vessel import Flow

__all__ = ["Adapted", "Change", "Confidence", "Request", "Unmet", "adapt", "reader_conditions"]

_LOWEST_M, _HIGHEST_M = -500.0, 6000.0


def adapt(
    plan: Plan,
    request: Request,
    conditions: Conditions = USUAL,
    targets: Targets = NO_TARGETS,
    *,
    known: Assessment | None = None,
) -> Adapted:
    """Adapt a published plan to what a reader has and wants.

    Args:
        plan: the guide's plan.
        request: what the reader has and wants.
        conditions: what the guide was written with: place, coffee and its trial brews.
        targets: what the guide promises the cup to be.
        known: the guide's own assessment, where it is at hand.

    Returns:
        The reader's plan, every figure that changed with its reason, what could not be honoured, and its assessment.

    Raises:
        OutOfRange: a number no brew has, two sizes at once, or a guide that cannot be brewed as it stands.

    Valid range: as ``plan_rules.check_numbers``; doses 1 to 300 g; altitude -500 to 6000 m.
    Source: the modules it asks; how a brew drains from drawdown.simulate.

    >>> from .plan import Action, Step
    >>> from .vessel import Brewer, Cone
    >>> cone = Brewer(Cone(30, 10), 500, 60, Flow.OPEN)
    >>> plan = Plan(16, 256, 97, 660, cone, (Step(Action.POUR, 0, 10, 48), Step(Action.POUR, 45, 75, 256)))
    >>> adapted = adapt(plan, Request(altitude_m=1480))
    >>> (adapted.plan.kettle_c, adapted.unmet[0].code)
    (94.0, 'kettle_below_guide')
    """
    check_numbers(plan)
    size = check_size(request)
    here = reader_conditions(request, conditions)
    work = Reworking(plan, request, here)
    work.take_brewer()
    if size is not None:
        work.take_size(size)
    if request.gas is not None:
        work.take_gas(conditions.gas)
    work.cap_kettle()
    work.fit()
    before = known or assess(plan, conditions, targets)
    if plan.brewer.flow is not Flow.CLOSED and before.drained is not None:
        work.match_drained(drained_s(plan, conditions))
    setting = work.take_grinder()
    if work.plan.grind_um < plan.grind_um:  # a finer bed holds more water up
        work.fit()
    work.take_water()
    after = assess(work.plan, here, targets)
    for refusal in after.refusals:
        if refusal.code in ("overflows", "overflows_shut"):
            held_g = refusal.numbers.get("charge_g") or refusal.numbers["held_g"]
            work.miss("still_overflows", {"limit_g": refusal.numbers["limit_g"], "charge_g": held_g})
        elif refusal.code == "target_above_plateau":
            work.miss("target_not_reached", refusal.numbers)
    changes = [*list_changes(plan, work.plan, work.reasons, _expected(before), _expected(after)), *work.own]
    return Adapted(work.plan, tuple(changes), tuple(work.unmet), after, setting)


def reader_conditions(request: Request, conditions: Conditions) -> Conditions:
    """Give the conditions a reader brews under.

    Args:
        request: what the reader has and wants.
        conditions: what the guide was written with.

    Returns:
        The guide's conditions with the reader's altitude and gas level.

    Raises:
        OutOfRange: an altitude outside -500 to 6000 m, or a boiling point that belongs to none of these.

    Valid range: as above.
    Source: thermal.boiling_point_c.

    >>> round(reader_conditions(Request(boiling_c=95), Conditions()).altitude_m / 10) * 10
    1500
    """
    altitude_m = conditions.altitude_m if request.altitude_m is None else request.altitude_m
    if request.boiling_c is not None:
        altitude_m = _altitude_m(request.boiling_c)
    boiling_point_c(altitude_m)  # refuses places nobody brews in
    return replace(conditions, altitude_m=altitude_m, gas=request.gas or conditions.gas)


def _altitude_m(boiling_c: float) -> float:
    """The altitude at which water boils so, by halving."""
    check_range(
        "boiling_c",
        boiling_c,
        low=boiling_point_c(_HIGHEST_M),
        high=boiling_point_c(_LOWEST_M),
        reason="water boils so where people live and brew",
    )
    low, high = _LOWEST_M, _HIGHEST_M
    while high - low > 0.1:
        middle = (low + high) / 2
        low, high = (middle, high) if boiling_point_c(middle) > boiling_c else (low, middle)
    return (low + high) / 2


def _expected(assessment: Assessment) -> Expected:
    return Expected(assessment.cup_g, assessment.first_drip, assessment.drained)
