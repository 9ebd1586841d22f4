"""A guide assessed, and made a reader's own: another size, brewer, grinder, altitude and water at once."""

from __future__ import annotations

from collections.abc import Iterator

from guides.calculations.adapt import Request, adapt
from guides.calculations.assess import assess
from guides.calculations.drawdown import simulate
from guides.calculations.freshness import GasLevel
from tests.benchmarks.measuring import Line, best_ms, took
from tests.calculations.demo_plans import DEMO, HARROW, MAST_CONE

EVERYTHING = Request(
    dose_g=22,
    brewer=MAST_CONE,
    grinder=HARROW,
    altitude_m=1480,
    gas=GasLevel.RESTED,
    alkalinity_mg_l=190,
    guide_alkalinity_mg_l=30,
)


def run() -> Iterator[Line]:
    """Time assessing and adapting the guides of the demo; the slowest of them is printed."""
    assessed = {name: best_ms(lambda guide=guide: assess(*guide), 5) for name, guide in DEMO.items()}
    adapted = {
        name: best_ms(lambda plan=plan, rest=rest: adapt(plan, EVERYTHING, *rest), 5)
        for name, (plan, *rest) in DEMO.items()
    }
    for what, times, goal_ms in (("assessing", assessed, 50), ("adapting", adapted, 50)):
        slowest = max(times, key=lambda name: times[name])
        brews = times[slowest] / best_ms(lambda slowest=slowest: simulate(DEMO[slowest][0]), 5)
        yield took(f"{what} a guide, the slowest ({slowest}), {brews:.0f} brews' worth", times[slowest], goal_ms)
