"""Lots whose bags are ready to get an insert."""

from guides.choices import Follow
from guides.lifecycle import address
from guides.models import Assignment, GuideVersion, Lot

from .coffee import LotFactory
from .guides import published


def packed(version: GuideVersion | None = None, **lot: object) -> tuple[Lot, GuideVersion]:
    """Give a lot with a code that shows a published guide, and that guide's version."""
    version = version or published()
    made = LotFactory(coffee=version.guide.coffee, **lot)
    address.issue(made)
    Assignment.objects.create(lot=made, guide=version.guide, follow=Follow.NEWEST)
    return made, version
