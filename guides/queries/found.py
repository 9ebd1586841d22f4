"""What others may find and list: only what is published, and only what is published now."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from django.db.models import Max

from guides.choices import State
from guides.models import GuideVersion

from . import versions

NEWEST = 30
"""As many guides as a feed holds."""


@dataclass(frozen=True)
class Dated:
    """An address word and when what it leads to last changed."""

    slug: str
    changed_at: datetime.datetime


def coffees() -> list[Dated]:
    """Give the coffees that have a published guide, on sale or not."""
    return _dated("guide__coffee__slug")


def guides() -> list[Dated]:
    """Give the guides of which a version is published."""
    return _dated("guide__slug")


def newest() -> list[GuideVersion]:
    """Give the published versions that were published last, newest first, one of each guide."""
    recent = versions.whole().filter(state=State.PUBLISHED).order_by("-published_at", "-pk")
    one_each: dict[int, GuideVersion] = {}
    for version in recent[: 3 * NEWEST]:
        one_each.setdefault(version.guide_id, version)
    return list(one_each.values())[:NEWEST]


def _dated(slug: str) -> list[Dated]:
    published = GuideVersion.objects.filter(state=State.PUBLISHED).order_by()
    found = published.values_list(slug).annotate(changed_at=Max("published_at"))
    return [Dated(word, changed_at) for word, changed_at in sorted(found)]
