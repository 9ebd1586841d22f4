"""The published drip series and the brews of common practice, as plans."""

from typing import NamedTuple

from guides.calculations.bed import sauter_um
from guides.calculations.constants import (
    FIT_BREWER_HEAT_J_K,
    FIT_D90_PER_MEDIAN,
    FIT_HALF_ANGLE_DEG,
    FIT_OUTLET_RADIUS_MM,
)
from guides.calculations.plan import Action, Plan, Step
from guides.calculations.vessel import Brewer, Cone, Flow


class Published(NamedTuple):
    """One grind of the series: D90 in um, drained seconds and their standard deviation."""

    d90_um: float
    drained_s: float
    sd_s: float


# Lee & Chang 2026, npj Sci. Food, doi 10.1038/s41538-026-01074-1
SERIES = (Published(1814.6, 175.0, 6.0), Published(1010.1, 202.7, 26.7), Published(592.1, 258.0, 29.5))

FIT_CONE = Cone(FIT_HALF_ANGLE_DEG.value, FIT_OUTLET_RADIUS_MM.value)


def series_plan(d90_um: float, shape: Cone = FIT_CONE) -> Plan:
    """20 g, 300 g at 93 degrees C: 60 g in 0-15 s, 120 g in 30-70 s, 120 g in 80-120 s. The cone is our assumption."""
    return Plan(
        dose_g=20,
        water_g=300,
        kettle_c=93,
        grind_um=d90_um / FIT_D90_PER_MEDIAN.value,
        brewer=Brewer(shape, 500, FIT_BREWER_HEAT_J_K.value, Flow.OPEN),
        steps=(Step(Action.POUR, 0, 15, 60), Step(Action.POUR, 30, 70, 180), Step(Action.POUR, 80, 120, 300)),
    )


VALVE_BREW = Plan(
    dose_g=20,
    water_g=270,
    kettle_c=94,
    grind_um=600,
    brewer=Brewer(FIT_CONE, 500, 60, Flow.VALVE),
    valve_shut_at_start=True,
    steps=(
        Step(Action.POUR, 0, 18, 100),
        Step(Action.OPEN, 25, 25),
        Step(Action.POUR, 27, 60, 270),
    ),
)
"""Common practice, no source: all water in by 60 s, valve opened at 25 s, drained near 100 s for a gassy coffee."""

SAUTER_300 = (300 / sauter_um(VALVE_BREW.grind_um)) ** 2
"""Flow factor that turns the plan's median into the 300 um Sauter diameter that the practice is told for: k ~ d32^2."""
