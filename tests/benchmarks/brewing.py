"""One brew simulated: how long it takes, against SciPy at equal accuracy, and how cost grows with simulated time."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from guides.calculations.drawdown import Course, simulate
from guides.calculations.plan import Action, Plan, Step
from guides.calculations.vessel import Brewer, Cone, Flow
from guides.calculations.water_properties import density_kg_m3, viscosity_pa_s
from tests.benchmarks.measuring import Line, at_least, at_most, best_ms, took
from tests.benchmarks.second_integrator import Answer, brew, tabulated

_POURS = ((0, 12, 50), (30, 42, 100), (65, 77, 150), (90, 102, 200), (115, 127, 260), (140, 150, 320))
SIX_POURS = Plan(
    dose_g=20,
    water_g=320,
    kettle_c=94,
    grind_um=600,
    brewer=Brewer(Cone(30, 10), 500, 60, Flow.VALVE),
    steps=(
        *(Step(Action.POUR, *pour) for pour in _POURS[:2]),
        Step(Action.OPEN, 60, 60),
        *(Step(Action.POUR, *pour) for pour in _POURS[2:]),
    ),
    valve_shut_at_start=True,
)
FLOW_FACTOR = 1.07
"""Makes the brew of six pours last 240 s."""

METHODS = {"RK45": True, "RK23": True, "DOP853": True, "LSODA": False}
"""solve_ivp's methods, its default first. LSODA is compiled Fortran around our plain Python: printed, not asserted."""
TOLERANCES = (1e-2, 1e-3, 1e-4, 1e-5, 1e-6, 1e-7)


def run() -> Iterator[Line]:
    """Time one brew, race it against SciPy, and try longer brews."""
    course = simulate(SIX_POURS, flow_factor=FLOW_FACTOR)
    own_ms = best_ms(lambda: simulate(SIX_POURS, flow_factor=FLOW_FACTOR), 40)
    yield took(f"one brew, valve, six pours, drained at {course.drained_s:.1f} s", own_ms, 5)
    yield from _race(course, own_ms)
    yield from _linear()


def _race(course: Course, own_ms: float) -> Iterator[Line]:
    tables = {"rho": tabulated(density_kg_m3), "mu": tabulated(viscosity_pa_s)}
    solve = partial(brew, SIX_POURS, FLOW_FACTOR, **tables)
    exact = solve(method="DOP853", rtol=1e-11)
    own_error = _error_s(course, exact)
    yield Line("largest error of drained and contact times, against DOP853 at 1e-11", f"{own_error:.3f} s")
    for method, asserted in METHODS.items():
        for rtol in TOLERANCES:
            if _error_s(solve(method=method, rtol=rtol), exact) <= own_error:
                scipy_ms = best_ms(lambda method=method, rtol=rtol: solve(method=method, rtol=rtol), 7)
                what = f"solve_ivp {method} at {rtol:g}, no less accurate: {scipy_ms:.1f} ms"
                line = at_least(what, scipy_ms / own_ms, 5)
                yield line if asserted else replace(line, holds=None)
                break


def _error_s(found: Course | Answer, exact: Answer) -> float:
    return max(
        abs((getattr(found, name) or 0.0) - getattr(exact, name))
        for name in ("drained_s", "first_contact_s", "cup_contact_s")
    )


def _linear() -> Iterator[Line]:
    """A jar left to stand: four times as long costs four times as much, within a quarter."""

    def stand(seconds: float) -> Plan:
        jar = Brewer(Cone(30, 10), 900, 150, Flow.CLOSED)
        return Plan(30, 480, 95, 900, jar, (Step(Action.POUR, 0, 20, 480), Step(Action.DECANT, seconds, seconds + 20)))

    short, long = (best_ms(lambda seconds=seconds: simulate(stand(seconds))) for seconds in (900, 3600))
    yield at_most("four times the simulated time costs", long / short, 5)
