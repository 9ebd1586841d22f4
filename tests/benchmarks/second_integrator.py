"""The equations of the draining bed once more, for SciPy: an independent integrator for tests and benchmark.

Written from the specification, not from the product's loop: adaptive steps, split at every moment the hands act, at
soaking through and at drained. Only the resistance, the level of a volume and the cut into phases are the product's.
It gives what ``drawdown.simulate`` gives: a point a second with its level, contact times, first drops, drained.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.integrate import solve_ivp

from guides.calculations.bed import resistance_per_m3
from guides.calculations.phases import Phase, phases
from guides.calculations.plan import Plan
from guides.calculations.vessel import gauge
from guides.calculations.water_properties import density_kg_m3, viscosity_pa_s

WATER_J_G_K, COFFEE_J_G_K, LOSS_W_K, ROOM_C, BREWER_C = 4.2, 1.5, 0.5, 20.0, 65.0
RETENTION_G_G, UPTAKE_S, SOAKED_SHARE, SCARCE_G, DROP_G, FIRST_G = 2.1, 8.0, 0.6, 2.0, 0.1, 30.0
DRY_ML_G, WET_ML_G, GRAVITY, KETTLE_S = 1.0, 2.4, 9.80665, 4300.0

Properties = Callable[[float], float]


@dataclass(frozen=True)
class Answer:
    """What the second integrator says: clock seconds, seconds of contact, g, degrees C and mm."""

    soaked_s: float
    dripped_s: float
    drained_s: float
    drained_g: float
    slurry_c: float
    first_contact_s: float
    cup_contact_s: float
    peak_level_mm: float


def tabulated(formula: Properties) -> Properties:
    """A property read between whole degrees, as quick as plain Python gets: for a fair race."""
    table = [formula(float(temp)) for temp in (*range(101), 100)]

    def read(temp_c: float) -> float:
        whole = int(temp_c)
        return table[whole] + (temp_c - whole) * (table[whole + 1] - table[whole])

    return read


def brew(
    plan: Plan,
    flow_factor: float = 1.0,
    *,
    rtol: float = 1e-8,
    method: str = "DOP853",
    rho: Properties = density_kg_m3,
    mu: Properties = viscosity_pa_s,
) -> Answer:
    """Simulate a plan whose steps are on the clock until it has drained."""
    resistance = resistance_per_m3(plan.brewer.shape, plan.dose_g, plan.grind_um, flow_factor)
    level_mm, capacity = gauge(plan.brewer.shape), RETENTION_G_G * plan.dose_g
    solid = COFFEE_J_G_K * plan.dose_g + plan.brewer.heat_j_per_k

    def level(free: float, absorbed: float, temp: float) -> float:
        bed_ml = plan.dose_g * (DRY_ML_G + (WET_ML_G - DRY_ML_G) * absorbed / capacity)
        return level_mm(max(1000 * free / rho(temp) + bed_ml, 0.0))

    def rates(phase: Phase, runs: bool) -> Callable[[float, list[float]], list[float]]:
        def right_hand_side(time_s: float, state: list[float]) -> list[float]:
            free, absorbed, _, temp, age, _ = state
            temp = min(max(temp, 0.0), 100.0)  # a trial step of the adaptive method may overshoot
            kettle = ROOM_C + (plan.kettle_c - ROOM_C) * math.exp(-time_s / KETTLE_S)
            share = min(free / SCARCE_G, 1.0)
            uptake, flow = share * (capacity - absorbed) / UPTAKE_S, 0.0
            if runs:
                flow = share * rho(temp) ** 2 * GRAVITY * level(free, absorbed, temp) / (mu(temp) * resistance)
            heat = WATER_J_G_K * (free + absorbed) + solid
            poured = WATER_J_G_K * phase.pour_g_s * (kettle - phase.stream_loss_c - temp)
            mean_age = age / free if free > 1e-9 else 0.0
            return [
                phase.pour_g_s - uptake - flow,
                uptake,
                flow,
                (poured - LOSS_W_K * (temp - ROOM_C)) / heat,
                free - (uptake + flow) * mean_age,
                flow * mean_age,
            ]

        return right_hand_side

    def soaks(_: float, state: list[float]) -> float:
        return state[1] - SOAKED_SHARE * capacity

    def drains(_: float, state: list[float]) -> float:
        return state[0] - SCARCE_G

    def drips(_: float, state: list[float]) -> float:
        return state[2] - DROP_G

    def fills(_: float, state: list[float]) -> float:
        return state[2] - FIRST_G

    def nothing(_: float, __: list[float]) -> float:
        return 1.0

    soaks.terminal = drains.terminal = True  # type: ignore[attr-defined]
    start_c = (COFFEE_J_G_K * plan.dose_g * ROOM_C + plan.brewer.heat_j_per_k * BREWER_C) / solid
    state = [0.0, 0.0, 0.0, start_c, 0.0, 0.0]
    time_s, soaked_s, dripped_s, first_s, peak = 0.0, math.nan, math.nan, math.nan, 0.0
    cut = phases(plan)
    for phase in (*cut, Phase(cut[-1].until_s + 1800, is_open=cut[-1].is_open)):
        while time_s < phase.until_s:
            soaked = not math.isnan(soaked_s)
            last = phase.until_s > cut[-1].until_s
            end_s = min(phase.until_s, time_s + 300)
            solved = solve_ivp(
                rates(phase, soaked and phase.is_open),
                (time_s, end_s),
                state,
                method=method,
                t_eval=np.append(np.arange(time_s, end_s, 1.0), end_s),
                rtol=rtol,
                atol=rtol * 10,
                events=[drains if last else nothing if soaked else soaks, drips, fills],
            )
            for point in solved.y.T.tolist():
                peak = max(peak, level(point[0], point[1], point[3]))
            dripped, filled = solved.t_events[1], solved.t_events[2]
            dripped_s = float(dripped[0]) if len(dripped) else dripped_s
            first_s = solved.y_events[2][0][5] / FIRST_G if len(filled) else first_s
            stopped = solved.status == 1
            time_s = float(solved.t_events[0][0]) if stopped else end_s
            state = (solved.y_events[0][0] if stopped else solved.y[:, -1]).tolist()
            if stopped and last:
                return Answer(soaked_s, dripped_s, time_s, state[2], state[3], first_s, state[5] / state[2], peak)
            soaked_s = time_s if stopped else soaked_s
    raise AssertionError("the plan of a check must drain")
