"""Whether anything that customers' pages show has changed."""

from __future__ import annotations

import datetime

from django.db.models import Subquery

from guides.models import PageStamp, Roastery


def current() -> tuple[str, tuple[str, ...]] | None:
    """Give the word that changes with every change, and the languages offered; ``None`` before the first change."""
    marked = PageStamp.objects.annotate(languages=Subquery(Roastery.objects.values("languages")[:1]))
    found = marked.values_list("token", "changed_at", "languages").first()
    # With the time: a database made anew may come to an old token again, and pages on the disk outlive a process.
    return None if found is None else (f"{found[0]} {found[1]}", tuple(found[2] or Roastery().languages))


def changed_at() -> datetime.datetime | None:
    """Give when anything that customers' pages show last changed; ``None`` while that is not known."""
    return PageStamp.objects.values_list("changed_at", flat=True).first()
