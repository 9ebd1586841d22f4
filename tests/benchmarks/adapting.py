"""A guide assessed, and made a reader's own: another size, brewer, grinder, altitude and water at once."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from guides.calculations.adapt import Request, adapt
from guides.calculations.assess import assess
from guides.calculations.brewing import likely_course
from guides.calculations.drawdown import simulate
from guides.calculations.freshness import GasLevel
from guides.calculations.plan import Plan
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
# What looks at most brews: twice the cup where water boils early and the coffee foams.
HARDEST = {"altitude_m": 2600, "gas": GasLevel.VERY_FRESH, "grinder": HARROW}


def _hardest_ms(plan: Plan, *rest: Any) -> float:
    known = assess(plan, *rest)
    wish = Request(cup_g=2 * known.cup_g.likely, **HARDEST)

    def once() -> None:
        likely_course.cache_clear()  # a reader is the first to ask
        adapt(plan, wish, *rest, known=known)

    return best_ms(once, 5)


def run() -> Iterator[Line]:
    """Time assessing and adapting the guides of the demo; the slowest of them is printed."""
    assessed = {name: best_ms(lambda guide=guide: assess(*guide), 5) for name, guide in DEMO.items()}
    adapted = {
        name: best_ms(lambda plan=plan, rest=rest: adapt(plan, EVERYTHING, *rest), 5)
        for name, (plan, *rest) in DEMO.items()
    }
    hardest = {name: _hardest_ms(*guide) for name, guide in DEMO.items()}
    for what, times, goal_ms in (
        ("assessing a guide", assessed, 50),
        ("adapting a guide", adapted, 50),
        ("adapting a guide to the hardest wish", hardest, 50),
    ):
        slowest = max(times, key=lambda name: times[name])
        brews = times[slowest] / best_ms(lambda slowest=slowest: simulate(DEMO[slowest][0]), 5)
        yield took(f"{what}, the slowest ({slowest}), {brews:.0f} brews' worth", times[slowest], goal_ms)
