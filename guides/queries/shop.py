"""What shops may read: whatever was published, and nothing before that. Rows come in an order that never changes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Exists, F, OuterRef, QuerySet, Window
from django.db.models.functions import RowNumber

from guides.choices import Follow, State, Verb
from guides.models import Address, Assignment, Coffee, Event, Guide, GuideVersion, Lot

from . import versions
from .lots import pick

LOTS_BESIDE_COFFEE = 20
"""As many lots as stand beside a coffee, the newest ones; the list of lots has them all."""

TOLD = (Verb.PUBLISHED, Verb.WITHDRAWN, Verb.RECALLED)
"""Acts that shops are told of."""


@dataclass(frozen=True)
class BesideLot:
    """The code that is printed for a lot, and the versions its page shows."""

    code: str
    versions: list[GuideVersion]


def coffees() -> QuerySet[Coffee]:
    """Give the coffees of which a guide was ever published."""
    return Coffee.objects.filter(Exists(_numbered(guide__coffee=OuterRef("pk")))).select_related("picture")


def remaining(key: int) -> int:
    """Give the key of the coffee that this one is part of now: mostly the same, and the same for an unknown one."""
    coffee = Coffee.objects.filter(pk=key).select_related("merged_into").first()
    return coffee.remaining.pk if coffee else key


def guides() -> QuerySet[Guide]:
    """Give the guides that were ever published."""
    return Guide.objects.filter(Exists(_numbered(guide=OuterRef("pk")))).select_related("coffee")


def lots() -> QuerySet[Lot]:
    """Give the lots that are shown to customers, of coffees of which a guide was ever published."""
    known = _numbered(guide__coffee=OuterRef("coffee"))
    return Lot.objects.filter(Exists(known), is_public=True).select_related("coffee")


def numbered(guide: Guide) -> QuerySet[GuideVersion]:
    """Give the revisions of a guide, oldest first, in brief."""
    return _in_brief().filter(guide=guide).order_by("revision")


def newest_of(guides: Iterable[Guide]) -> dict[int, GuideVersion]:
    """Give for each guide, by its key, the revision that counts: the newest published one, else the last of all."""
    found: dict[int, GuideVersion] = {}
    for version in _in_brief().filter(guide__in=list(guides)).order_by("guide", "-revision"):
        known = found.get(version.guide_id)
        if known is None or (known.state != State.PUBLISHED and version.state == State.PUBLISHED):
            found[version.guide_id] = version
    return found


def guides_of_coffees(coffees: Iterable[Coffee]) -> dict[int, list[GuideVersion]]:
    """Give for each coffee, by its key, its published guides in the revision that counts."""
    found: dict[int, list[GuideVersion]] = defaultdict(list)
    of_these = Guide.objects.filter(coffee__in=list(coffees))
    for version in sorted(newest_of(of_these).values(), key=lambda version: version.guide.number):
        if version.state == State.PUBLISHED:
            found[version.guide.coffee_id].append(version)
    return found


def lots_of_coffees(coffees: Iterable[Coffee]) -> dict[int, list[Lot]]:
    """Give for each coffee, by its key, its newest lots, newest first."""
    place = Window(RowNumber(), partition_by=F("coffee"), order_by=[F("roasted_on").desc(), F("pk").desc()])
    found: dict[int, list[Lot]] = defaultdict(list)
    numbered = lots().filter(coffee__in=list(coffees)).annotate(place=place)
    for lot in numbered.filter(place__lte=LOTS_BESIDE_COFFEE).order_by("coffee", "place"):
        found[lot.coffee_id].append(lot)
    return found


def beside(lots: Sequence[Lot]) -> dict[int, BesideLot]:
    """Give what belongs to each lot, by its key, in a constant number of queries."""
    assignments = Assignment.objects.filter(lot__in=lots).exclude(follow=Follow.HELD).select_related("guide")
    rows = list(assignments.order_by("guide__number"))
    history: dict[int, list[GuideVersion]] = defaultdict(list)
    of_these = _numbered(guide__in={row.guide_id for row in rows}).select_related("guide")
    for version in of_these.only("guide__number", "revision", "state").order_by("guide", "-revision"):
        history[version.guide_id].append(version)
    # The newest code comes last and stays.
    codes = dict(Address.objects.filter(lot__in=lots).order_by("created_at").values_list("lot_id", "code"))
    found = {lot.pk: BesideLot(codes.get(lot.pk, ""), []) for lot in lots}
    for row in rows:
        shown = pick(row, history[row.guide_id])
        if shown is not None:
            found[row.lot_id].versions.append(shown)
    return found


def changes() -> QuerySet[Event]:
    """Give what shops are told of, in the order it became true."""
    told = Event.objects.filter(verb__in=TOLD).select_related("guide__coffee", "lot__coffee").order_by("pk")
    return told.filter(Exists(lots().filter(pk=OuterRef("lot")))) | told.filter(lot__isnull=True)


def revisions(events: Iterable[Event]) -> dict[int, int]:
    """Give the revision of each version that some events are about, by its key."""
    keys = {event.version_id for event in events if event.version_id}
    found = GuideVersion.objects.filter(pk__in=keys, revision__isnull=False)
    return {pk: revision or 0 for pk, revision in found.values_list("pk", "revision")}


def _numbered(**where: object) -> QuerySet[GuideVersion]:
    return GuideVersion.objects.filter(revision__isnull=False, **where)


def _in_brief() -> QuerySet[GuideVersion]:
    # A snapshot is the whole guide, and a list shows a line of it.
    return versions.in_a_line().filter(revision__isnull=False)
