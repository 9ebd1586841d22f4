"""When what an answer rests on last changed, from the marks that the database sets (``models/mark_triggers.py``)."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from django.db.models import Max, Q, QuerySet

from guides.models import Assignment, ChangeMark, Guide, GuideVersion, Lot
from guides.models.change_mark import About

from . import stamp


@dataclass(frozen=True)
class Basis:
    """What an answer rests on: marks; whether the day counts too, and whether anything on the site may."""

    marks: Q
    daily: bool = False
    whole_site: bool = False

    def __or__(self, other: Basis) -> Basis:
        return Basis(self.marks | other.marks, self.daily or other.daily, self.whole_site or other.whole_site)


def any_of(*about: About, daily: bool = False) -> Basis:
    """Rest on everything of some kinds, as lists do: what has left one counts as well."""
    return Basis(Q(about__in=about), daily=daily)


def of(about: About, key: int | QuerySet, *, daily: bool = False) -> Basis:
    """Rest on one thing by its key, or on those that a query gives the keys of."""
    marks = Q(about=about, key__in=key) if isinstance(key, QuerySet) else Q(about=about, key=key)
    return Basis(marks, daily=daily)


def of_guide(number: int) -> Basis:
    """Rest on a guide in any of its revisions, and on what its coffee is called and looks like."""
    rows = Guide.objects.filter(number=number)
    return of(About.GUIDE, rows.values("pk")) | of(About.COFFEE, rows.values("coffee"))


def of_versions(**where: object) -> Basis:
    """Rest on some published revisions themselves."""
    return of(About.VERSION, GuideVersion.objects.filter(revision__isnull=False, **where).values("pk"))


def brewers_of(**where: object) -> Basis:
    """Rest on what the brewers of some published revisions are called now, as lines of a list tell it."""
    return of(About.BREWER, GuideVersion.objects.filter(revision__isnull=False, **where).values("brewer"))


def of_lot(name: str) -> Basis:
    """Rest on a lot, its coffee itself, its guides, and the day."""
    rows, assigned = Lot.objects.filter(name=name.upper()), Assignment.objects.filter(lot__name=name.upper())
    own = of(About.LOT, rows.values("pk"), daily=True) | of(About.COFFEE, rows.values("coffee"))
    return own | of(About.GUIDE, assigned.values("guide"))


def of_evidence(number: int) -> Basis:
    """Rest on the trial brews of a guide's coffee, and on all that hangs on that coffee."""
    coffees = Guide.objects.filter(number=number).values("coffee")
    return of(About.BREWS, coffees) | of(About.RANGE, coffees)


def changed_at(basis: Basis) -> datetime.datetime | None:
    """Give the newest of the marks; ``None`` where that is not known."""
    newest: datetime.datetime | None = ChangeMark.objects.filter(basis.marks).aggregate(newest=Max("at"))["newest"]
    if not basis.whole_site:
        return newest
    anything = stamp.changed_at()
    return None if newest is None or anything is None else max(newest, anything)
