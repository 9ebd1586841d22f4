"""What customers may find without a code: coffees on sale and their published guides."""

from __future__ import annotations

from dataclasses import dataclass

from guides.choices import State
from guides.models import Coffee, GuideVersion

from . import versions


@dataclass(frozen=True)
class Listed:
    """A coffee and the newest published version of each of its guides."""

    coffee: Coffee
    guides: tuple[GuideVersion, ...]


def on_sale() -> list[Listed]:
    """Give the coffees on sale that have a published guide, in a constant number of queries."""
    return _listed(list(Coffee.objects.filter(is_current=True)))


def of_coffee(coffee: Coffee) -> tuple[GuideVersion, ...]:
    """Give the newest published version of each guide of one coffee."""
    return next((listed.guides for listed in _listed([coffee])), ())


def _listed(coffees: list[Coffee]) -> list[Listed]:
    published = versions.whole().filter(guide__coffee__in=coffees, state=State.PUBLISHED)
    newest: dict[int, GuideVersion] = {}
    for version in published.order_by("guide__number", "-revision"):
        newest.setdefault(version.guide_id, version)
    listed = (
        Listed(coffee, tuple(version for version in newest.values() if version.guide.coffee_id == coffee.pk))
        for coffee in coffees
    )
    return [entry for entry in listed if entry.guides]
