"""A small shop for tests of public pages: one roastery, one coffee, one bag with a code."""

from __future__ import annotations

from typing import Any

from guides.lifecycle import address, draft
from guides.lifecycle.assign import assign
from guides.models import Assignment, GuideVersion, Lot, Roastery, User
from tests.factories import CoffeeFactory, GuideFactory, LotFactory, UserFactory, published

LANGUAGES = ["en", "sv", "fi"]


def roastery(**fields: Any) -> Roastery:
    house = Roastery(**{"name": "Mossgull Roasting Room", "place": "Ulvarsund", "languages": LANGUAGES, **fields})
    house.save()
    return house


def boss() -> User:
    return UserFactory(role="publisher")


def bag(**fields: Any) -> tuple[Lot, str]:
    """A lot of a fresh coffee and its code."""
    lot = LotFactory(**fields)
    return lot, address.issue(lot).code


def guide_for(lot: Lot, **fields: Any) -> GuideVersion:
    """A published guide of the lot's coffee, shown on its bags."""
    version = published(guide=GuideFactory(coffee=lot.coffee), **fields)
    assign(lot, version.guide, by=boss())
    return version


def next_revision(version: GuideVersion, **changes: Any) -> GuideVersion:
    """Publish the next revision of a guide."""

    opened = draft.open_next(version.guide, by=boss())
    for name, value in changes.items():
        setattr(opened, name, value)
    opened.save()
    return published(opened)


def assignment(lot: Lot) -> Assignment:
    return Assignment.objects.get(lot=lot)


def coffee_with_guide(**fields: Any) -> GuideVersion:
    return published(guide=GuideFactory(coffee=CoffeeFactory()), **fields)
