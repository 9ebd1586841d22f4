"""Whether anything that customers' pages show has changed."""

from __future__ import annotations

import datetime

from django.db.models import Subquery

from guides.models import PageStamp, Roastery


def current() -> tuple[str, tuple[str, ...]] | None:
    """Give the word that changes with every change, and the languages offered; ``None`` before the first change."""
    marked = PageStamp.objects.annotate(languages=Subquery(Roastery.objects.values("languages")[:1]))
    found = marked.values_list("token", "languages").first()
    return None if found is None else (found[0], tuple(found[1] or Roastery().languages))


def changed_at() -> datetime.datetime | None:
    """Give when anything that customers' pages show last changed; ``None`` while that is not known."""
    return PageStamp.objects.values_list("changed_at", flat=True).first()
