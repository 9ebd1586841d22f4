"""What the calculation room says about a version: the one call behind the form, the page and publishing."""

from __future__ import annotations

import datetime
from functools import lru_cache

from guides.calculations.assess import assess
from guides.calculations.assessment import Assessment, Conditions, Targets
from guides.calculations.freshness import BestDays, GasLevel, RoastLevel, best_days, gas_level
from guides.calculations.plan import Plan
from guides.models import GuideVersion, Lot
from guides.queries import evidence

from . import learning
from .plan_of import plan_of, targets_of

_GAS_SEEN_AFTER_DAYS = 7


def assess_version(version: GuideVersion, lot: Lot | None = None, *, at: datetime.datetime | None = None) -> Assessment:
    """Assess a version for a lot, or for the lot it speaks of.

    Raises:
        OutOfRange: a number that no brew has.
    """
    return assess_conditions(version, conditions_for(version, lot, at=at))


def assess_conditions(version: GuideVersion, conditions: Conditions) -> Assessment:
    """Assess a version under stated conditions.

    Raises:
        OutOfRange: a number that no brew has.
    """
    return assess_plan(plan_of(version), conditions, targets_of(version))


@lru_cache(maxsize=64)  # a pure function of frozen values: form, submission and publishing ask for the same ones
def assess_plan(plan: Plan, conditions: Conditions, targets: Targets) -> Assessment:
    """Assess a plan, saved or not.

    Raises:
        OutOfRange: a number that no brew has.
    """
    return assess(plan, conditions, targets)


def conditions_for(version: GuideVersion, lot: Lot | None = None, *, at: datetime.datetime | None = None) -> Conditions:
    """Give what a prediction for a version assumes: place, gas of the lot, and what trial brews have taught."""
    lot = lot or evidence.lot_for(version)
    return conditions_of(version.guide.coffee_id, version.brewer_id, lot, at=at)


def conditions_of(
    coffee: int, brewer: int, lot: Lot | None, *, at: datetime.datetime | None = None, without: int | None = None
) -> Conditions:
    """Give what a prediction for a coffee in a brewer assumes; both by their keys.

    Args:
        coffee: key of the coffee.
        brewer: key of the brewer.
        lot: the lot that is brewed.
        at: trial brews count up to this moment; now if not given.
        without: key of a trial brew that does not count.
    """
    counted = [brew for brew in evidence.trials(coffee, brewer, at=at) if brew.pk != without]
    brews = learning.learnt(counted)
    factors = {pk: learning.flow_factors(rows) for pk, rows in learning.by_lot(brews).items()}
    own = factors.pop(lot.pk, ()) if lot else ()
    return Conditions(
        altitude_m=evidence.altitude_m(),
        gas=gas_when_first_good(lot) if lot else GasLevel.LIVELY,
        trial_flow_factors=own,
        trial_retentions=learning.retentions(brews),
        other_lots_flow_factors=tuple(other for other in factors.values() if other),
    )


def gas_when_first_good(lot: Lot) -> GasLevel:
    """Give a lot's gas on its first good day: the most a customer's bed will swell, whatever day the guide is read."""
    own = BestDays(lot.rest_days, lot.best_days) if lot.rest_days is not None and lot.best_days is not None else None
    first = best_days(RoastLevel(lot.effective_roast_level), own).first
    return _gas_at(lot, first)


def gas_on(lot: Lot, day: datetime.date) -> GasLevel:
    """Give a lot's gas on a day: what one reader's bag does in their kitchen now."""
    return _gas_at(lot, (day - lot.roasted_on).days)


def _gas_at(lot: Lot, age_days: int) -> GasLevel:
    seen = (lot.gas_on - lot.roasted_on).days if lot.gas_on else _GAS_SEEN_AFTER_DAYS
    return gas_level(GasLevel(lot.gas), max(seen, 0), max(age_days, 0))
