"""A shop that reads: one roastery, one coffee with a GTIN, its bag, its guide."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from guides.models import GuideVersion, Lot
from tests.factories.shown import coffee_picture
from tests.public import world

GTIN = "09506000134352"  # of the range that GS1 uses in its own examples
API = "/api/v1"


@dataclass(frozen=True)
class Sold:
    lot: Lot
    code: str
    version: GuideVersion


@pytest.fixture
def sold(db: None) -> Sold:
    world.roastery()
    lot, code = world.bag(coffee__gtin=GTIN)
    coffee_picture(lot.coffee, en="A bag on a quay.")
    return Sold(lot, code, world.guide_for(lot))
