"""What others may find and list: only what is published, and only what is published now."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from typing import Final

from django.db.models import F, Max, QuerySet

from guides.choices import State
from guides.models import GuideVersion

from . import versions

NEWEST: Final = 20
"""As many guides as a feed holds."""
PART: Final = 50
"""Numbers of guides, or keys of coffees, that a part of the site map spans; what has a place in it keeps that."""


@dataclass(frozen=True)
class Kind:
    """Pages of one kind in the site map: what tells which part one is in, and its address word."""

    numbered: str
    slug: str


KINDS: Final = {
    "coffees": Kind("guide__coffee__pk", "guide__coffee__slug"),
    "guides": Kind("guide__number", "guide__slug"),
}


@dataclass(frozen=True)
class Part:
    """A part of the site map that has pages in it, and when the last of them changed."""

    kind: str
    number: int
    changed_at: datetime.datetime


@dataclass(frozen=True)
class Dated:
    """An address word and when what it leads to last changed."""

    slug: str
    changed_at: datetime.datetime


def parts() -> list[Part]:
    """Give the parts of the site map: coffees that have a published guide, on sale or not, and those guides."""
    found = []
    for name, kind in KINDS.items():
        in_parts = _published().annotate(number=F(kind.numbered) / PART)  # whole numbers, divided whole
        rows = in_parts.values_list("number").annotate(changed_at=Max("published_at"))
        found += [Part(name, number, changed_at) for number, changed_at in rows.order_by("number")]
    return found


def in_part(kind: str, number: int) -> list[Dated]:
    """Give the pages in one part of the site map."""
    numbered, slug, first = KINDS[kind].numbered, KINDS[kind].slug, number * PART
    inside = _published().filter(**{f"{numbered}__gte": first, f"{numbered}__lt": first + PART})
    rows = inside.values_list(slug).annotate(changed_at=Max("published_at")).order_by(slug)
    return [Dated(word, changed_at) for word, changed_at in rows]


def newest() -> QuerySet[GuideVersion]:
    """Give the published versions that were published last, newest first, one of each guide."""
    return versions.newest_in_a_line().order_by("-published_at", "-pk")[:NEWEST]


def _published() -> QuerySet[GuideVersion]:
    return GuideVersion.objects.filter(state=State.PUBLISHED).order_by()
