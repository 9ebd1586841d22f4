"""Rows for tests, of the invented world. Each factory makes a row that passes every rule."""

from .coffee import CoffeeFactory, LotFactory
from .gear import BrewerFactory, GrinderFactory, JarBrewerFactory, ValveBrewerFactory, VesselFactory
from .guides import GuideFactory, GuideVersionFactory, ValveVersionFactory, published
from .packing import LabelStockFactory, PackingRunFactory, PrintFormatFactory, ready_run
from .people import UserFactory
from .reviews import ReviewCommentFactory
from .sites import SiteFactory, TraineeFactory
from .trials import TrialBrewFactory

__all__ = [
    "BrewerFactory",
    "CoffeeFactory",
    "GrinderFactory",
    "GuideFactory",
    "GuideVersionFactory",
    "JarBrewerFactory",
    "LabelStockFactory",
    "LotFactory",
    "PackingRunFactory",
    "PrintFormatFactory",
    "ReviewCommentFactory",
    "SiteFactory",
    "TraineeFactory",
    "TrialBrewFactory",
    "UserFactory",
    "ValveBrewerFactory",
    "ValveVersionFactory",
    "VesselFactory",
    "published",
    "ready_run",
]
