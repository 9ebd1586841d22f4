"""The one way in: a plan, where and by whom it is brewed, what it promises; everything a guide shows comes out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from .assessment import NO_TARGETS, USUAL, Assessment, BypassPoint, Conditions, CoursePoint, Targets
from .brewing import likely_course
from .drawdown import Course, Outcome
from .findings import caution, note, refusal
from .flow import drain_window, first_drip_window
from .phases import moves_water
from .plan import Plan
from .plan_rules import as_written, check_numbers, in_time
from .precautions import kettle_fill_g, rinse_g, safety_notes, server_ml
from .promises import (
    bypass_points,
    check_targets,
    cup_window_g,
    extraction_asked,
    promise_findings,
    strength_given,
    usual_extraction,
)
from .retention import retention_window
from .scaling import brew_ratio, cup_ratio
from .shut_charge import held_findings, most_held_g, shut_charge_g, shut_periods
from .thermal import boiling_point_c, kettle_cap_c, mixing_c
from .timeline import Events, StepTime, Timeline, on_the_clock, resolve
from .validity import Caution, OutOfRange, Window, check_range
from .vessel import Flow
from .what_fits import shut_limit_g

__all__ = ["Assessment", "BypassPoint", "Conditions", "CoursePoint", "StepTime", "Targets", "assess"]


_HOTTEST_C = 100.0
"""Below the sea water boils hotter, but no formula here goes further."""


def assess(plan: Plan, conditions: Conditions = USUAL, targets: Targets = NO_TARGETS) -> Assessment:
    """Assess a plan: what it does, what it gives, and what speaks against it.

    Args:
        plan: the brew.
        conditions: where it is brewed, and with which coffee.
        targets: what the guide promises the cup to be.

    Returns:
        All figures a guide shows. A plan that cannot be brewed comes back with its refusals and without a course.

    Raises:
        OutOfRange: a number no brew has.

    Valid range: as ``plan_rules.check_numbers`` and ``promises.check_targets``; altitude -500 to 6000 m, room 0 to
    45 degrees C.
    Source: the modules it asks.

    >>> from .plan import Action, Step
    >>> from .vessel import Brewer, Cone
    >>> cone = Brewer(Cone(30, 10), 500, 60, Flow.OPEN)
    >>> assess(Plan(15, 240, 93, 700, cone, (Step(Action.POUR, 0, 30, 250),))).refusals[0].code
    'targets_do_not_add_up'
    """
    check_numbers(plan)
    check_targets(targets)
    check_range("room_c", conditions.room_c, low=0, high=45, reason="a room people brew in")
    boiling_c, cap_c = boiling_point_c(conditions.altitude_m), kettle_cap_c(conditions.altitude_m)
    retention = retention_window(conditions.trial_retentions)
    hot = replace(plan, kettle_c=min(plan.kettle_c, boiling_c, _HOTTEST_C))
    found = [*as_written(plan), *_heat(plan, cap_c, boiling_c)]

    timeline, course = _brew(hot, conditions, found)
    found += [refusal("anchor_never_comes", index) for index in timeline.never]
    found += in_time(plan, timeline.times)
    points = course.points if course else ()
    valve = plan.brewer.flow is Flow.VALVE
    limit_g = shut_limit_g(plan.brewer.usable_ml, plan.dose_g, conditions.gas)
    shut = shut_periods(on_the_clock(plan, timeline.times).steps, plan.valve_shut_at_start) if valve else ()
    charge_g = shut_charge_g(points, shut)
    overflow_s = course.overflow_at_s if course and most_held_g(points) > limit_g else None
    found += held_findings(plan, points, charge_g, limit_g, overflow_s)
    first_drip, drained = _windows(hot, conditions, retention, course)
    if course is not None:
        found += _endings(plan, course, retention)

    cup_g = cup_window_g(plan, retention)
    extraction = extraction_asked(plan, targets, cup_g)
    if plan.bypass_g > 0 and extraction is None and targets.extraction is None:
        usual = usual_extraction()
        found.append(note("extraction_assumed", low=usual.low, high=usual.high))
    found += promise_findings(plan, timeline.times, targets, cup_g, extraction, first_drip)
    found += safety_notes(plan)
    return Assessment(
        brew_ratio=brew_ratio(plan.dose_g, plan.water_g),
        cup_ratio=cup_ratio(plan.dose_g, plan.water_g, plan.bypass_g, plan.ice_g),
        shut_limit_g=limit_g if valve else None,
        shut_charge_g=charge_g if valve else None,
        first_drip=first_drip,
        drained=drained,
        cup_g=cup_g,
        extraction=extraction,
        strength=strength_given(plan, targets, cup_g),
        bypass=bypass_points(plan, extraction or _promised(targets, cup_g.trials), cup_g),
        slurry_peak_c=max((point.slurry_c for point in points), default=_mixed_c(hot, conditions.room_c)),
        boiling_c=boiling_c,
        kettle_fill_g=kettle_fill_g(plan),
        server_ml=server_ml(plan),
        rinse_g=rinse_g(plan),
        first_contact_s=course.first_contact_s if course else None,
        cup_contact_s=course.cup_contact_s if course else None,
        peak_level_mm=course.peak_level_mm if course else 0.0,
        peak_at_s=course.peak_at_s if course else 0.0,
        overflow_at_s=overflow_s,
        step_times=timeline.times,
        course=tuple(
            CoursePoint(
                point.time_s,
                point.poured_g,
                point.drained_g,
                point.free_g,
                point.level_mm,
                point.flow_g_s,
                point.slurry_c,
                point.kettle_c,
            )
            for point in points
        ),
        cautions=tuple(found),
    )


_BLOCKING = frozenset(
    {
        "no_pour",
        "pour_without_target",
        "targets_not_rising",
        "valve_without_valve",
        "ends_before_start",
        "overlapping_pours",
        "pour_after_decant",
        "decanted_while_pouring",
        "plan_too_long",
    }
)
"""Refusals that leave nothing to simulate."""


def _brew(plan: Plan, conditions: Conditions, found: list[Caution]) -> tuple[Timeline, Course | None]:
    """Put the steps on the clock and simulate, as far as the plan can be brewed at all."""
    early = resolve(plan, lambda _: Events())
    waits = any(time.predicted and moves_water(step) for step, time in zip(plan.steps, early.times, strict=True))
    if _blocked(found) or (not waits and _blocked(in_time(plan, early.times))):
        return early, None

    if not waits:
        course = likely_course(plan, conditions)
        return course.timeline, course

    def look(part: Plan) -> Events:
        if _blocked([*as_written(part), *in_time(part, resolve(part, lambda _: Events()).times)]):
            return Events()
        course = likely_course(part, conditions)
        return Events(course.first_drip_s, course.drained_s)

    timeline = resolve(plan, look)
    if _blocked(in_time(plan, timeline.times)):
        return timeline, None
    return timeline, likely_course(on_the_clock(plan, timeline.times), conditions)


def _blocked(found: Iterable[Caution]) -> bool:
    return any(finding.code in _BLOCKING for finding in found)


def _endings(plan: Plan, course: Course, retention: Window) -> list[Caution]:
    if course.outcome is Outcome.STILL_DRAINING:
        return [caution("still_draining", after_s=course.points[-1].time_s)]
    if course.outcome is Outcome.NOTHING_RUNS_OFF:
        return [refusal("nothing_runs_off", water_g=plan.water_g, kept_g=retention.likely * plan.dose_g)]
    return []


def _heat(plan: Plan, cap_c: float, boiling_c: float) -> list[Caution]:
    if plan.kettle_c <= cap_c:
        return []
    return [refusal("hotter_than_boiling", kettle_c=plan.kettle_c, cap_c=cap_c, boiling_c=boiling_c)]


def _mixed_c(plan: Plan, room_c: float) -> float:
    return mixing_c(plan.dose_g, room_c, plan.water_g, plan.kettle_c)


def _promised(targets: Targets, trials: int) -> Window:
    if targets.extraction is None:
        return usual_extraction(trials)
    return Window(targets.extraction, targets.extraction, targets.extraction, trials)


def _windows(
    plan: Plan, conditions: Conditions, retention: Window, course: Course | None
) -> tuple[Window | None, Window | None]:
    """Predict first drip and drained time; ``None`` where it never comes, or not for every coffee in the window."""
    if course is None or plan.brewer.flow is Flow.CLOSED:
        return None, None
    found: list[Window | None] = []
    for predict in (first_drip_window, drain_window):
        try:
            found.append(
                predict(
                    plan,
                    conditions.trial_flow_factors,
                    other_lots=conditions.other_lots_flow_factors,
                    retention_g_g=retention.likely,
                    room_c=conditions.room_c,
                    likely=course,
                )
            )
        except OutOfRange:
            found.append(None)
    return found[0], found[1]
