"""What a trial brew may set out from."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from django.db.models import OuterRef, Q, Subquery

from guides.choices import State
from guides.models import Coffee, GuideVersion, Lot, TrialBrew

MOST_COFFEES: Final = 8
MOST_BREWS: Final = 5
LATELY: Final = 200
"""Brews that are looked through for the last ones of each coffee."""


@dataclass(frozen=True)
class Beginnings:
    """One coffee: its newest lot, the versions of its guides that stand, and the brews last made of it."""

    coffee: Coffee
    lot: Lot
    versions: tuple[GuideVersion, ...]
    brews: tuple[TrialBrew, ...]


@dataclass(frozen=True)
class Offered:
    """Coffees to begin with; ``more`` says that others are found by name only."""

    coffees: tuple[Beginnings, ...]
    more: bool


def coffees(sought: str = "") -> Offered:
    """Give the coffees of the newest lots, those first, in a fixed number of queries.

    Args:
        sought: part of the name of a coffee or of a lot; each coffee comes with its newest lot that fits.
    """
    newest = _newest_lots(sought)
    keys = [lot.coffee_id for lot in newest[:MOST_COFFEES]]
    standing, brewed = _standing(keys), _brewed(keys, ever=bool(sought))
    found = (
        Beginnings(lot.coffee, lot, tuple(standing[lot.coffee_id].values()), tuple(brewed[lot.coffee_id]))
        for lot in newest[:MOST_COFFEES]
    )
    return Offered(tuple(found), more=len(newest) > MOST_COFFEES)


def _newest_lots(sought: str) -> list[Lot]:
    """Give the newest lot of each coffee, one more than is shown."""
    fits = Q(name__icontains=sought) | Q(coffee__name__icontains=sought) if sought else Q()
    lots = Lot.objects.filter(fits, recalled_at__isnull=True, coffee=OuterRef("pk")).order_by("-roasted_on", "-pk")
    of_each = Coffee.objects.order_by().annotate(lot=Subquery(lots.values("pk")[:1])).values("lot")
    newest = Lot.objects.filter(pk__in=of_each).select_related("coffee").order_by("-roasted_on", "-pk")
    return list(newest[: MOST_COFFEES + 1])


def _standing(coffees: Iterable[int]) -> dict[int, dict[tuple[int, bool], GuideVersion]]:
    """Give of each guide the newest published version and the open one, not its whole past."""
    standing: dict[int, dict[tuple[int, bool], GuideVersion]] = {coffee: {} for coffee in coffees}
    found = GuideVersion.objects.filter(guide__coffee__in=standing).exclude(state=State.WITHDRAWN)
    for version in found.select_related("guide", "brewer").defer("snapshot").order_by("guide__number", "-pk"):
        key = (version.guide_id, version.state == State.PUBLISHED)
        standing[version.guide.coffee_id].setdefault(key, version)
    return standing


def _brewed(coffees: Iterable[int], *, ever: bool) -> dict[int, list[TrialBrew]]:
    """Give the last brews of each coffee: among those made lately, or ``ever``. Only what is shown is fetched."""
    keys: dict[int, list[int]] = {coffee: [] for coffee in coffees}
    newest = TrialBrew.objects.filter(lot__coffee__in=keys) if ever else TrialBrew.objects.all()
    for key, coffee in newest.order_by("-brewed_at", "-pk").values_list("pk", "lot__coffee")[:LATELY]:
        if coffee in keys:
            keys[coffee] = [*keys[coffee], key][:MOST_BREWS]
    rows = TrialBrew.objects.select_related("lot", "brewer", "brewed_by").defer("planned", "predicted")
    found = rows.in_bulk([key for of_coffee in keys.values() for key in of_coffee])
    return {coffee: [found[key] for key in of_coffee] for coffee, of_coffee in keys.items()}
