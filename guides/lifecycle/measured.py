"""From the columns of a trial brew to the cup that the calculation room speaks of."""

from __future__ import annotations

from guides.calculations.brewed_cup import Cup, believable, finished_strength
from guides.calculations.mass_balance import Measured
from guides.calculations.validity import OutOfRange
from guides.choices import Outflow, Sample
from guides.models import TrialBrew


def cup_of(brew: TrialBrew) -> Cup | None:
    """Give the measured cup; ``None`` where it was not weighed, or its strength not read."""
    if brew.cup_g is None or brew.strength_percent is None:
        return None
    ice_g = float((brew.planned or {}).get("ice_g", 0))
    added_g = float(brew.bypass_g) + ice_g
    return Cup(
        dose_g=float(brew.dose_g),
        water_g=float(brew.water_g),
        beverage_g=float(brew.cup_g) - added_g,
        added_g=added_g,
        strength=float(brew.strength_percent) / 100,
        before_added=brew.sample == Sample.BEFORE_BYPASS,
        last_drops=None if brew.last_drops_percent is None else float(brew.last_drops_percent) / 100,
        immersed=brew.brewer.outflow == Outflow.CLOSED,
    )


def extraction(brew: TrialBrew) -> Measured | None:
    """Give the extraction with its error; ``None`` where it was not measured or cannot be right."""
    cup = cup_of(brew)
    return None if cup is None else believable(cup)


def strength(brew: TrialBrew) -> float | None:
    """Give the strength of the finished cup as a fraction; ``None`` where it was not measured or cannot be right."""
    cup = cup_of(brew)
    if cup is None:
        return None
    try:
        return finished_strength(cup)
    except OutOfRange:
        return None
