"""What customers may find without a code: coffees on sale and their published guides."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Final

from django.db.models import Count, Exists, F, OuterRef, Q, QuerySet, Window
from django.db.models.functions import RowNumber

from guides.choices import State
from guides.models import Coffee, GuideVersion

from . import versions

GUIDES_BESIDE: Final = 3
"""As many guides as stand beside a coffee in a list; its own page has them all."""


@dataclass(frozen=True)
class Listed:
    """A coffee, the newest published version of its first few guides, and how many ``more`` guides it has."""

    coffee: Coffee
    guides: tuple[GuideVersion, ...]
    more: int


def on_sale() -> QuerySet[Coffee]:
    """Give the coffees on sale that have a published guide, by name."""
    published = GuideVersion.objects.filter(guide__coffee=OuterRef("pk"), state=State.PUBLISHED)
    return Coffee.objects.filter(Exists(published), is_current=True).order_by("name")


def called(words: Sequence[str]) -> QuerySet[Coffee]:
    """Give those of them that have every word somewhere in name, code, origin or process, in whichever case."""
    found = on_sale()
    for word in words:
        # Not "contains": in SQLite that tells Å from å.
        names = ("name", "code", "origin", "process")
        found = found.filter(Q.create([(f"{name}__iregex", re.escape(word)) for name in names], connector=Q.OR))
    return found


def listed(coffees: Sequence[Coffee]) -> list[Listed]:
    """Put their first guides beside some coffees, in two queries."""
    whose = F("guide__coffee")
    place = Window(RowNumber(), partition_by=whose, order_by="guide__number")
    beside: dict[int, list[Any]] = {coffee.pk: [] for coffee in coffees}
    newest = _newest_of(beside).annotate(place=place, in_all=Window(Count("pk"), partition_by=whose))
    for version in newest.filter(place__lte=GUIDES_BESIDE).order_by("place"):
        beside[version.guide.coffee_id].append(version)
    return [
        Listed(coffee, tuple(guides), guides[0].in_all - len(guides) if guides else 0)
        for coffee in coffees
        for guides in [beside[coffee.pk]]
    ]


def of_coffee(coffee: Coffee) -> tuple[GuideVersion, ...]:
    """Give the newest published version of each guide of one coffee."""
    return tuple(_newest_of([coffee.pk]).order_by("guide__number"))


def _newest_of(coffees: Iterable[int]) -> QuerySet[GuideVersion]:
    return versions.newest_in_a_line().filter(guide__coffee__in=list(coffees))
