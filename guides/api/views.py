"""What anybody may read: whatever was published, and nothing before that."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import fields
from typing import Any

from django.db.models import QuerySet
from rest_framework.exceptions import NotFound

from guides.models import Coffee, Event, Guide, GuideVersion, Lot
from guides.presenters import guide_sheet
from guides.presenters.shop import entries, shapes
from guides.queries import catalogue, lots, marks, shop
from guides.queries.marks import About, Basis

from .paging import Listing
from .parameters import COFFEE, GTIN, LANGUAGE, ON_SALE
from .view import Reading

NOT_PUBLISHED = "There is nothing published under that name."


class IndexView(Reading):
    """The index: where to find everything else, and what explains it."""

    tag, name, shape = "Index", "index", shapes.IndexShape

    def basis(self) -> Basis:
        return marks.any_of(About.HOUSE)

    def found(self) -> shapes.IndexShape:
        return entries.index(self.reader())


class RoasteryView(Reading):
    """The roastery.

    Whose site this is, the languages it writes in, and where its guides are written for.
    """

    tag, name, shape = "Roastery", "roastery", shapes.RoasteryShape

    def basis(self) -> Basis:
        return marks.any_of(About.HOUSE)

    def found(self) -> shapes.RoasteryShape:
        return entries.roastery(self.reader())


class CoffeesView(Listing):
    """Coffees, each with its guides, newest lots, picture and languages.

    All that a shop shows in its list, in one call. A coffee is here from the day its first guide is published.
    """

    tag, name, shape = "Coffees", "coffees", shapes.CoffeeShape
    parameters = (LANGUAGE, GTIN, ON_SALE)

    def basis(self) -> Basis:
        return marks.any_of(About.RANGE, About.BREWER, About.HOUSE, daily=True)

    def rows(self) -> QuerySet[Coffee]:
        rows, gtin, on_sale = shop.coffees(), self.asked.get("gtin"), self.asked.get("on_sale")
        if gtin is not None:
            coffee = lots.coffee_by_gtin(gtin)
            rows = rows.filter(pk=coffee.pk) if coffee else rows.none()
        return rows if on_sale is None else rows.filter(is_current=on_sale)

    def things(self, rows: Sequence[Coffee]) -> list[shapes.CoffeeShape]:
        guides, newest = shop.guides_of_coffees(rows), shop.lots_of_coffees(rows)
        beside = shop.beside([lot for those in newest.values() for lot in those])
        reader = self.reader()
        return [entries.coffee(row, guides.get(row.pk, ()), newest.get(row.pk, ()), beside, reader) for row in rows]


class CoffeeView(Reading):
    """One coffee with all that a shop needs: lots, guides whole, picture and languages.

    The one call for a shop: everything about a coffee, with every guide of it as its page shows it. The id of one that
    has become part of another answers with that one, for good.
    """

    tag, name, shape = "Coffees", "coffee", shapes.CoffeeWhole
    parameters = (LANGUAGE,)

    def basis(self, id: int) -> Basis:
        id = shop.remaining(id)
        return (
            marks.of(About.RANGE, id, daily=True)
            | marks.brewers_of(guide__coffee__in=Coffee.objects.filter(pk=id))
            | marks.any_of(About.HOUSE)
        )

    def found(self, id: int) -> shapes.CoffeeWhole:
        row, reader = one(shop.coffees(), pk=shop.remaining(id)), self.reader()
        guides, newest = catalogue.of_coffee(row), shop.lots_of_coffees([row]).get(row.pk, ())
        brief = entries.coffee(row, guides, newest, shop.beside(newest), reader)
        sheets = (guide_sheet.build(each, language=reader.language, today=reader.today) for each in guides)
        told = {field.name: getattr(brief, field.name) for field in fields(brief)}
        return shapes.CoffeeWhole(**told, sheets=tuple(sheets))


class LotsView(Listing):
    """Lots that are shown to customers, in the order they were entered.

    Recalled lots stay in the list, with since when and why.
    """

    tag, name, shape = "Lots", "lots", shapes.LotShape
    parameters = (LANGUAGE, COFFEE)

    def basis(self) -> Basis:
        return marks.any_of(About.LOT, About.COFFEE, About.GUIDE, About.HOUSE, daily=True)

    def rows(self) -> QuerySet[Lot]:
        coffee = self.asked.get("coffee")
        return shop.lots() if coffee is None else shop.lots().filter(coffee=shop.remaining(coffee))

    def things(self, rows: Sequence[Lot]) -> list[shapes.LotShape]:
        beside, reader = shop.beside(rows), self.reader()
        return [entries.lot(row, beside[row.pk], reader) for row in rows]


class LotView(Reading):
    """One lot, by the name on its bags, in either case."""

    tag, name, shape = "Lots", "lot", shapes.LotShape
    parameters = (LANGUAGE,)

    def basis(self, name: str) -> Basis:
        return marks.of_lot(name) | marks.any_of(About.HOUSE)

    def found(self, name: str) -> shapes.LotShape:
        row = lot_named(name)
        return entries.lot(row, shop.beside([row])[row.pk], self.reader())


class GuidesView(Listing):
    """Guides, by their number, in the revision that counts."""

    tag, name, shape, key = "Guides", "guides", shapes.GuideShape, "number"
    parameters = (LANGUAGE, COFFEE)

    def basis(self) -> Basis:
        return marks.any_of(About.GUIDE, About.COFFEE, About.BREWER, About.HOUSE)

    def rows(self) -> QuerySet[Guide]:
        coffee = self.asked.get("coffee")
        return shop.guides() if coffee is None else shop.guides().filter(coffee=shop.remaining(coffee))

    def things(self, rows: Sequence[Guide]) -> list[shapes.GuideShape]:
        newest, reader = shop.newest_of(rows), self.reader()
        return [entries.guide(newest[row.pk], reader) for row in rows]


class GuideView(Reading):
    """One guide, by the number on its inserts, in the revision that counts."""

    tag, name, shape = "Guides", "guide", shapes.GuideShape
    parameters = (LANGUAGE,)

    def basis(self, number: int) -> Basis:
        return marks.of_guide(number) | marks.brewers_of(guide__number=number) | marks.any_of(About.HOUSE)

    def found(self, number: int) -> shapes.GuideShape:
        row = one(shop.guides(), number=number)
        return entries.guide(shop.newest_of([row])[row.pk], self.reader())


class VersionsView(Listing):
    """Every revision of a guide, oldest first. One never changes but for being withdrawn."""

    tag, name, shape, key = "Guides", "versions", shapes.VersionShape, "revision"

    def basis(self, number: int) -> Basis:
        return marks.of_versions(guide__number=number)

    def rows(self, number: int) -> QuerySet[GuideVersion]:
        return shop.numbered(one(shop.guides(), number=number))

    def things(self, rows: Sequence[GuideVersion]) -> list[shapes.VersionShape]:
        return [entries.version(row) for row in rows]


class VersionView(Reading):
    """One revision of a guide."""

    tag, name, shape = "Guides", "version", shapes.VersionShape

    def basis(self, number: int, revision: int) -> Basis:
        return marks.of_versions(guide__number=number, revision=revision)

    def found(self, number: int, revision: int) -> shapes.VersionShape:
        return entries.version(one(shop.numbered(one(shop.guides(), number=number)), revision=revision))


class ChangesView(Listing):
    """What has changed since a cursor, oldest first: guides published and withdrawn, lots recalled.

    Keep ``cursor`` of the last answer and ask with it again: every change comes once, and none is left out. Without a
    cursor the list starts with the first change there ever was.
    """

    tag, name, shape = "Changes", "changes", shapes.ChangeShape

    def basis(self) -> Basis:
        return marks.any_of(About.LOT, About.GUIDE, About.COFFEE, About.HOUSE)

    def rows(self) -> QuerySet[Event]:
        return shop.changes()

    def things(self, rows: Sequence[Event]) -> list[shapes.ChangeShape]:
        revisions, reader = shop.revisions(rows), self.reader()
        return [entries.change(row, revisions, reader) for row in rows]


def one(rows: QuerySet[Any], **named: Any) -> Any:
    """Give the row of that name.

    Raises:
        NotFound: there is none among what was published; what was not published is answered the same.
    """
    row = rows.filter(**named).first()
    if row is None:
        raise NotFound(NOT_PUBLISHED)
    return row


def lot_named(name: str) -> Lot:
    """Give a lot by its name in either case.

    Raises:
        NotFound: no lot that is shown to customers has it.
    """
    if not re.fullmatch(r"[0-9A-Za-z.-]{1,20}", name):
        raise NotFound(NOT_PUBLISHED)
    found: Lot = one(shop.lots(), name=name.upper())
    return found
