"""What trial brews say of a guide's coffee in its brewer, in figures."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from statistics import median

from guides.calculations.learnt_flow import new_brew_factor
from guides.lifecycle import assessing
from guides.models import GuideVersion
from guides.queries import evidence


@dataclass(frozen=True)
class Spread:
    """What was measured in several brews: in how many of them, the least, the middle one and the most."""

    brews: int
    least: float
    middle: float
    most: float


@dataclass(frozen=True)
class Learnt:
    """A coffee's flow factor as the next brew will likely show it, with the values one in ten falls below and above.

    1 drains as ground coffee of that size usually does, less is slower. ``brews`` is how many it rests on.
    """

    low: float
    likely: float
    high: float
    brews: int


@dataclass(frozen=True)
class EvidenceShape:
    """Trial brews of a guide's coffee in its brewer, taken together. ``None`` where nothing was measured.

    ``check_brews`` are those made from a guide by a second person. ``drained_s`` is in seconds, ``strength_percent`` in
    percent, ``cup_g`` in grams, ``liking`` from 0 to 10.
    """

    guide: int
    revision: int
    brews: int
    check_brews: int
    first_on: datetime.date | None
    last_on: datetime.date | None
    drained_s: Spread | None
    strength_percent: Spread | None
    cup_g: Spread | None
    liking: Spread | None
    flow_factor: Learnt


def of(version: GuideVersion) -> EvidenceShape:
    """Give what is known of a published version's coffee in its brewer."""
    brews = list(evidence.trials(version.guide.coffee_id, version.brewer_id))
    known = assessing.conditions_for(version)
    factor = new_brew_factor(known.trial_flow_factors, known.other_lots_flow_factors)
    return EvidenceShape(
        guide=version.guide.number,
        revision=version.revision or 0,
        brews=len(brews),
        check_brews=sum(brew.is_check_brew for brew in brews),
        first_on=brews[0].brewed_at.date() if brews else None,
        last_on=brews[-1].brewed_at.date() if brews else None,
        drained_s=_spread(brew.drained_s for brew in brews),
        strength_percent=_spread(brew.strength_percent for brew in brews),
        cup_g=_spread(brew.cup_g for brew in brews),
        liking=_spread(brew.liking for brew in brews),
        flow_factor=Learnt(round(factor.low, 3), round(factor.likely, 3), round(factor.high, 3), factor.trials),
    )


def _spread(values: Iterable[int | Decimal | None]) -> Spread | None:
    found = [float(value) for value in values if value is not None]
    return Spread(len(found), min(found), median(found), max(found)) if found else None
