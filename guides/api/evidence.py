"""What trial brews say of a guide, in figures, for programs that were given leave to know."""

from __future__ import annotations

from guides.models import Guide, GuideVersion
from guides.presenters.shop import evidence
from guides.queries import marks, shop
from guides.queries.marks import Basis

from .view import Reading
from .views import one


class EvidenceView(Reading):
    """How a guide's coffee has brewed in its brewer: how many brews, how they drained, and what that taught.

    Needs a token for `evidence`. No single brew is told, nor who made it.
    """

    tag, name, shape, scope = "Guides", "evidence", evidence.EvidenceShape, "evidence"

    def basis(self, number: int) -> Basis:
        return marks.of_evidence(number)

    def found(self, number: int) -> evidence.EvidenceShape:
        guide: Guide = one(shop.guides(), number=number)
        version: GuideVersion = shop.newest_of([guide])[guide.pk]
        return evidence.of(version)
