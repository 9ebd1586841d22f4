"""The draining bed: a whole brew simulated, from the first pour until it has drained.

A prediction with the coffee's own ``flow_factor``; published models of this kind miss real finish times by about 40 s,
so times are shown as windows (``flow.py``), never to the second.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from .bed import Fit, resistance_per_m3
from .constants import (
    BREWER_PREHEAT_C,
    COFFEE_HEAT_J_G_K,
    DECANT_G_S,
    LEFT_IN_JAR_G,
    LONGEST_DRAIN_S,
    RETENTION,
)
from .freshness import GasLevel
from .moments import first_contact_s, first_drip_s, overflow_s
from .phases import Phase, is_open_at, moves_water, phases
from .plan import Action, Plan, Step
from .plan_rules import check_numbers
from .slurry import Bench, Point, Slurry, advance
from .timeline import Events, Timeline, on_the_clock, resolve
from .validity import check_range
from .vessel import Flow, gauge
from .what_fits import most_water_g


class Outcome(StrEnum):
    """How a brew ends."""

    DRAINED = "drained"
    DECANTED = "decanted"
    NEVER_OPENS = "never_opens"  # the valve is shut after the last step
    NEVER_DECANTED = "never_decanted"
    NOTHING_RUNS_OFF = "nothing_runs_off"  # the grounds keep all of it
    STILL_DRAINING = "still_draining"  # blocked, or slower than the longest time looked at


@dataclass(frozen=True)
class Course:
    """What a brew does, in clock seconds, grams and degrees C; ``None``: it never happens.

    ``soaked_s`` is when the grounds hold enough for the rest to drip; ``first_drip_s`` when the first drop is seen;
    ``drained_s`` when less than 2 g of free water is left after the last pour, or the decanting is over.
    ``first_contact_s`` and ``cup_contact_s`` are how long the first 30 g and the whole cup were with the coffee, on
    average. ``overflow_at_s`` is when the vessel first holds more than fits. ``timeline`` gives every step its clock
    time. ``points`` are about one second apart.
    """

    outcome: Outcome
    soaked_s: float | None
    first_drip_s: float | None
    drained_s: float | None
    opened_s: tuple[float, ...]
    peak_level_mm: float
    peak_at_s: float
    overflow_at_s: float | None
    first_contact_s: float | None
    cup_contact_s: float | None
    drained_g: float
    timeline: Timeline
    points: tuple[Point, ...]


def simulate(
    plan: Plan,
    *,
    flow_factor: float = 1.0,
    retention_g_g: float = RETENTION.value,
    room_c: float = 20.0,
    step_s: float = 0.25,
    gas: GasLevel = GasLevel.LIVELY,
    brewer_c: float = BREWER_PREHEAT_C.value,
    fit: Fit | None = None,
) -> Course:
    """Simulate a brew: pours, valve, uptake, flow through bed and paper, heat.

    Args:
        plan: the brew.
        flow_factor: how much faster than the reference coffee this one drains.
        retention_g_g: liquid the wet grounds keep, g per g of dose.
        room_c: temperature of room and coffee in degrees C.
        step_s: time step in s.
        gas: gas level of the coffee: how much room its foam takes.
        brewer_c: temperature of the preheated brewer in degrees C.
        fit: the two fitted numbers; ``None`` for the project's own.

    Returns:
        The course of the brew; always ends, at the latest half an hour after the last step.

    Raises:
        OutOfRange: a number outside its range, no pour, overlapping pours.

    Valid range: as ``plan_rules.check_numbers``; kettle to 100 degrees C; flow factor 0.02 to 50; retention 0.5 to
    4 g/g; room 0 to 45 degrees C; step 0.01 to 1 s.
    Source: Darcy's law, carman-1937, fitted to lee-chang-2026; uptake and losses own defaults.

    >>> from .plan import Step
    >>> from .vessel import Brewer, Cone
    >>> cone = Brewer(Cone(30, 10), 500, 60, Flow.OPEN)
    >>> simulate(Plan(15, 240, 93, 700, cone, (Step(Action.POUR, 0, 30, 240),))).outcome
    <Outcome.DRAINED: 'drained'>
    """
    check_numbers(plan)
    check_range("kettle_c", plan.kettle_c, low=0, high=100, reason="liquid water")
    check_range("retention_g_g", retention_g_g, low=0.5, high=4, reason="what wet grounds keep")
    check_range("room_c", room_c, low=0, high=45, reason="a room people brew in")
    check_range("step_s", step_s, low=0.01, high=1, reason="a step much shorter than a pour")
    check_range("brewer_c", brewer_c, low=0, high=100, reason="a brewer rinsed with water")
    bench = _bench(plan, flow_factor, retention_g_g, room_c, fit)
    coffee = COFFEE_HEAT_J_G_K.value * plan.dose_g
    start_c = (coffee * room_c + plan.brewer.heat_j_per_k * brewer_c) / bench.solid_j_k
    seen: dict[Plan, Slurry] = {}

    def run(part: Plan) -> Slurry:
        only = replace(part, steps=tuple(step for step in part.steps if moves_water(step)))
        if only not in seen:
            seen[only] = _run(only, Slurry(start_c), bench, step_s)
        return seen[only]

    def look(part: Plan) -> Events:
        if not any(step.action is Action.POUR for step in part.steps):
            return Events()
        slurry = run(part)
        return Events(_first_drip_s(part, slurry), slurry.drained_s)

    timeline = resolve(plan, look)
    timed = on_the_clock(plan, timeline.times)
    slurry = run(timed)
    highest = max(slurry.points, key=lambda point: point.level_mm)
    return Course(
        outcome=_outcome(timed, slurry),
        soaked_s=slurry.soaked_s,
        first_drip_s=_first_drip_s(timed, slurry),
        drained_s=slurry.drained_s,
        opened_s=tuple(step.start_s for step in timed.steps if step.action is Action.OPEN),
        peak_level_mm=highest.level_mm,
        peak_at_s=highest.time_s,
        overflow_at_s=overflow_s(slurry.points, most_water_g(plan.brewer.usable_ml, plan.dose_g, gas)),
        first_contact_s=first_contact_s(slurry.points),
        cup_contact_s=slurry.cup_age_g_s / slurry.drained_g if slurry.drained_g > 0 else None,
        drained_g=slurry.drained_g,
        timeline=timeline,
        points=tuple(slurry.points),
    )


def _bench(plan: Plan, flow_factor: float, retention_g_g: float, room_c: float, fit: Fit | None) -> Bench:
    shape = plan.brewer.shape
    drains = plan.brewer.flow is not Flow.CLOSED
    return Bench(
        dose_g=plan.dose_g,
        takes_up_g=retention_g_g * plan.dose_g,
        resistance_per_m3=resistance_per_m3(shape, plan.dose_g, plan.grind_um, flow_factor, fit) if drains else 1.0,
        level_mm=gauge(shape),
        solid_j_k=COFFEE_HEAT_J_G_K.value * plan.dose_g + plan.brewer.heat_j_per_k,
        kettle_c=plan.kettle_c,
        room_c=room_c,
    )


def _run(plan: Plan, slurry: Slurry, bench: Bench, step_s: float) -> Slurry:
    slurry.note(bench)
    for phase in phases(plan):
        if phase.at_once_g:
            arriving_c = bench.arriving_c(slurry.time_s, phase.stream_loss_c)
            slurry.pour_at_once(phase.at_once_g, arriving_c, bench)
            slurry.note(bench)
        advance(slurry, bench, phase, step_s)
    if plan.brewer.flow is Flow.CLOSED:
        _decant(plan, slurry, bench, step_s)
    elif is_open_at(plan, slurry.time_s):
        rest = Phase(slurry.time_s + LONGEST_DRAIN_S.value, ends_when_drained=True)
        advance(slurry, bench, rest, step_s)
    return slurry


def _decanted(plan: Plan) -> Step | None:
    return next((step for step in plan.steps if step.action is Action.DECANT), None)


def _decant(plan: Plan, slurry: Slurry, bench: Bench, step_s: float) -> None:
    """Pour a full immersion off its grounds, all but the last of it."""
    step = _decanted(plan)
    if step is None:
        return
    check_range("start_s", step.start_s, low=slurry.time_s, reason="nothing is poured after decanting")
    advance(slurry, bench, Phase(step.start_s, is_open=False), step_s)
    grams = max(slurry.free_g - LEFT_IN_JAR_G.value, 0.0)
    slurry.decant(grams, step.end_s - step.start_s or grams / DECANT_G_S.value)
    slurry.note(bench)


def _first_drip_s(plan: Plan, slurry: Slurry) -> float | None:
    decanted = _decanted(plan) if plan.brewer.flow is Flow.CLOSED else None
    return first_drip_s(slurry.points) if decanted is None else decanted.start_s


def _outcome(plan: Plan, slurry: Slurry) -> Outcome:
    if plan.brewer.flow is Flow.CLOSED:
        return Outcome.NEVER_DECANTED if slurry.drained_s is None else Outcome.DECANTED
    if slurry.drained_s is not None:
        return Outcome.DRAINED
    if not is_open_at(plan, slurry.time_s):
        return Outcome.NEVER_OPENS
    return Outcome.STILL_DRAINING if slurry.soaked_s is not None else Outcome.NOTHING_RUNS_OFF
