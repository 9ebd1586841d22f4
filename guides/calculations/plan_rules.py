"""What is wrong with a plan as written, before any water flows."""

from __future__ import annotations

from collections.abc import Sequence

from .constants import (
    BREW_RATIO_LEAST,
    BYPASS_MOST_SHARE,
    LONGEST_PLAN_S,
    POUR_RATE_LEAST_G_S,
    POUR_RATE_MOST_G_S,
)
from .findings import caution, refusal
from .plan import Action, Plan
from .timeline import StepTime
from .validity import Caution, check_range
from .vessel import Flow, check_shape
from .wetting import REACHES_RIM

MOST_DOSE_G = 300.0
"""The largest bed brewed by hand."""
_TOLERANCE_G = 0.01  # a kitchen scale shows 0.1 g
_VALVE_ACTIONS = (Action.OPEN, Action.SHUT)


def check_numbers(plan: Plan) -> None:
    """Refuse numbers that no brew has, before anything is computed from them.

    Args:
        plan: the brew.

    Raises:
        OutOfRange: a number that is not finite or outside the valid range; the first one found.

    Valid range: dose 1 to 300 g, water 1 to 20 000 g, bypass and ice 0 to 20 000 g, kettle 0 to 150 degrees C, grind
    100 to 3000 um, usable volume 20 to 20 000 mL, brewer heat 0 to 5000 J/K, step times 0 to 7200 s, targets 0 to
    40 000 g.
    Source: own default.

    >>> from .vessel import Brewer, Cone
    >>> check_numbers(Plan(15, 240, 93, 700, Brewer(Cone(30, 10), 500, 60, Flow.OPEN), ()))
    """
    check_range("dose_g", plan.dose_g, low=1, high=MOST_DOSE_G, reason="one brew, by hand")
    check_range("water_g", plan.water_g, low=1, high=20_000, reason="one brew, by hand")
    check_range("bypass_g", plan.bypass_g, low=0, high=20_000, reason="water cannot be negative")
    check_range("ice_g", plan.ice_g, low=0, high=20_000, reason="ice cannot be negative")
    check_range("kettle_c", plan.kettle_c, low=0, high=150, reason="liquid water")
    check_range("grind_um", plan.grind_um, low=100, high=3000, reason="ground coffee")
    check_range("usable_ml", plan.brewer.usable_ml, low=20, high=20_000, reason="a brewer for coffee")
    check_range("heat_j_per_k", plan.brewer.heat_j_per_k, low=0, high=5000, reason="a brewer for coffee")
    check_shape(plan.brewer.shape)
    for step in plan.steps:
        check_range("start_s", step.start_s, low=0, high=7200, reason="a step happens after its anchor, within hours")
        check_range("end_s", step.end_s, low=0, high=7200, reason="a step happens after its anchor, within hours")
        if step.target_g is not None:
            check_range("target_g", step.target_g, low=0, high=40_000, reason="a scale reading")


def as_written(plan: Plan) -> tuple[Caution, ...]:
    """Find what is wrong with targets, valve and ratios.

    Args:
        plan: the brew, its numbers within range.

    Returns:
        Refusals and cautions.

    Source: definition; limits of good practice are common practice, no source.

    >>> from .vessel import Brewer, Cone
    >>> [finding.code for finding in as_written(Plan(15, 240, 93, 700, Brewer(Cone(30, 10), 500, 60, Flow.OPEN), ()))]
    ['no_pour']
    """
    return (*_targets(plan), *_valve(plan), *_jar(plan), *_ratios(plan), *_rim(plan))


def _targets(plan: Plan) -> list[Caution]:
    found: list[Caution] = []
    previous = 0.0
    pours = [(index, step) for index, step in enumerate(plan.steps) if step.action is Action.POUR]
    for index, step in pours:
        if step.target_g is None:
            found.append(refusal("pour_without_target", index))
        elif step.target_g <= previous:
            found.append(refusal("targets_not_rising", index, target_g=step.target_g, previous_g=previous))
        else:
            previous = step.target_g
    if not pours:
        return [refusal("no_pour")]
    last_index, last = pours[-1]
    if last.target_g is not None and abs(last.target_g - plan.water_g) > _TOLERANCE_G:
        found.append(
            refusal(
                "targets_do_not_add_up",
                last_index,
                target_g=last.target_g,
                water_g=plan.water_g,
                difference_g=last.target_g - plan.water_g,
            )
        )
    return found + _bypass_targets(plan)


def _bypass_targets(plan: Plan) -> list[Caution]:
    adds = [
        (index, step.target_g)
        for index, step in enumerate(plan.steps)
        if step.action is Action.ADD_BYPASS and step.target_g is not None
    ]
    expected = plan.water_g + plan.bypass_g
    if not adds or abs(adds[-1][1] - expected) <= _TOLERANCE_G:
        return []
    index, target = adds[-1]
    return [
        refusal("bypass_does_not_add_up", index, target_g=target, expected_g=expected, difference_g=target - expected)
    ]


def _valve(plan: Plan) -> list[Caution]:
    found: list[Caution] = []
    if plan.brewer.flow is not Flow.VALVE:
        if plan.valve_shut_at_start:
            found.append(refusal("valve_without_valve"))
        found += [
            refusal("valve_without_valve", index)
            for index, step in enumerate(plan.steps)
            if step.action in _VALVE_ACTIONS
        ]
        return found
    shut = plan.valve_shut_at_start
    for index, step in enumerate(plan.steps):
        if step.action in _VALVE_ACTIONS:
            wanted = step.action is Action.SHUT
            if wanted is shut:
                found.append(caution("valve_already_so", index))
            shut = wanted
    if shut:
        found.append(refusal("never_opens"))
    return found


def _jar(plan: Plan) -> list[Caution]:
    if plan.brewer.flow is not Flow.CLOSED or any(step.action is Action.DECANT for step in plan.steps):
        return []
    return [refusal("never_decanted")]


def _ratios(plan: Plan) -> list[Caution]:
    if plan.ice_g > 0:  # over ice, little hot water and much cold are the method
        return []
    found: list[Caution] = []
    ratio = plan.water_g / plan.dose_g
    if ratio < BREW_RATIO_LEAST.value:
        found.append(caution("brew_ratio_tight", brew_ratio=ratio, low=BREW_RATIO_LEAST.value))
    share = plan.bypass_g / (plan.water_g + plan.bypass_g)
    if share > BYPASS_MOST_SHARE.value:
        found.append(caution("much_bypass", share=share, high=BYPASS_MOST_SHARE.value))
    return found


def _rim(plan: Plan) -> list[Caution]:
    pours = [step for step in plan.steps if step.action is Action.POUR]
    stirred = any(step.action in (Action.STIR, Action.SWIRL) for step in plan.steps)
    if plan.brewer.flow is Flow.CLOSED or stirred or not pours:
        return []
    told = all(step.path is not None for step in pours)
    return [caution("rim_left_dry")] if told and not any(step.path in REACHES_RIM for step in pours) else []


def in_time(plan: Plan, times: Sequence[StepTime]) -> tuple[Caution, ...]:
    """Find what is wrong with the order and speed of the steps.

    Args:
        plan: the brew.
        times: clock seconds of its steps.

    Returns:
        Refusals and cautions.

    Source: definition; pour speeds are common practice, no source.

    >>> from .plan import Step
    >>> from .vessel import Brewer, Cone
    >>> plan = Plan(15, 240, 93, 700, Brewer(Cone(30, 10), 500, 60, Flow.OPEN), (Step(Action.POUR, 0, 10, 240),))
    >>> [finding.code for finding in in_time(plan, [StepTime(0, 10, False)])]
    ['pour_too_fast']
    """
    found: list[Caution] = []
    previous: StepTime | None = None
    poured_until: float | None = None
    decanted_s: float | None = None
    for index, (step, time) in enumerate(zip(plan.steps, times, strict=True)):
        if time.end_s < time.start_s:
            found.append(refusal("ends_before_start", index, start_s=time.start_s, end_s=time.end_s))
        if time.end_s > LONGEST_PLAN_S.value:
            found.append(refusal("plan_too_long", index, end_s=time.end_s, longest_s=LONGEST_PLAN_S.value))
        if previous is not None and time.start_s < previous.start_s:
            found.append(refusal("steps_out_of_order", index, start_s=time.start_s, previous_s=previous.start_s))
        if step.action is Action.DECANT:
            decanted_s = time.start_s
            if poured_until is not None and poured_until > decanted_s:
                found.append(refusal("decanted_while_pouring", index, decant_s=decanted_s, end_s=poured_until))
        if step.action is Action.POUR:
            if poured_until is not None and time.start_s < poured_until:
                found.append(refusal("overlapping_pours", index, start_s=time.start_s, previous_end_s=poured_until))
            if decanted_s is not None:
                found.append(refusal("pour_after_decant", index, start_s=time.start_s, decant_s=decanted_s))
            poured_until = time.end_s
        previous = time
    return (*found, *_speeds(plan, times))


def _speeds(plan: Plan, times: Sequence[StepTime]) -> list[Caution]:
    found: list[Caution] = []
    if plan.brewer.flow is Flow.CLOSED:  # an immersion is filled in one go
        return found
    before = 0.0
    for index, (step, time) in enumerate(zip(plan.steps, times, strict=True)):
        if step.action is not Action.POUR or step.target_g is None:
            continue
        grams, seconds = step.target_g - before, time.end_s - time.start_s
        before = step.target_g
        if seconds == 0:
            found.append(refusal("pour_takes_no_time", index, start_s=time.start_s))
        elif seconds > 0 and grams / seconds > POUR_RATE_MOST_G_S.value:
            found.append(caution("pour_too_fast", index, rate_g_s=grams / seconds, high_g_s=POUR_RATE_MOST_G_S.value))
        elif seconds > 0 and 0 < grams / seconds < POUR_RATE_LEAST_G_S.value:
            found.append(caution("pour_too_slow", index, rate_g_s=grams / seconds, low_g_s=POUR_RATE_LEAST_G_S.value))
    return found
