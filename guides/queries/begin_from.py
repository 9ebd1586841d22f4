"""What a trial brew may set out from."""

from __future__ import annotations

from dataclasses import dataclass

from guides.choices import State
from guides.models import Coffee, GuideVersion, Lot, TrialBrew

MOST_BREWS = 5


@dataclass(frozen=True)
class Beginnings:
    """One coffee: its newest lot, the versions of its guides that stand, and the brews last made of it."""

    coffee: Coffee
    lot: Lot
    versions: tuple[GuideVersion, ...]
    brews: tuple[TrialBrew, ...]


def coffees() -> list[Beginnings]:
    """Give every coffee that has a lot, those of the newest lots first, in a fixed number of queries."""
    newest: dict[int, Lot] = {}
    for lot in Lot.objects.select_related("coffee").filter(recalled_at__isnull=True).order_by("-roasted_on", "-pk"):
        newest.setdefault(lot.coffee_id, lot)
    standing: dict[int, dict[tuple[int, bool], GuideVersion]] = {}
    found = GuideVersion.objects.exclude(state=State.WITHDRAWN).select_related("guide", "brewer").defer("snapshot")
    for version in found.order_by("guide__number", "-pk"):
        # Of a guide the newest published and the open one, not its whole past.
        of_coffee = standing.setdefault(version.guide.coffee_id, {})
        of_coffee.setdefault((version.guide_id, version.state == State.PUBLISHED), version)
    brewed: dict[int, list[TrialBrew]] = {}
    recent = TrialBrew.objects.select_related("lot", "brewer", "brewed_by").order_by("-brewed_at", "-pk")
    for brew in recent[: 40 * MOST_BREWS]:
        brews = brewed.setdefault(brew.lot.coffee_id, [])
        if len(brews) < MOST_BREWS:
            brews.append(brew)
    return [
        Beginnings(lot.coffee, lot, tuple(standing.get(key, {}).values()), tuple(brewed.get(key, ())))
        for key, lot in newest.items()
    ]
