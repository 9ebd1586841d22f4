"""From a code on a bag to what is shown for it, in few queries."""

from __future__ import annotations

from typing import Any

import pytest

from guides.codes import short_code
from guides.lifecycle import address
from guides.lifecycle.assign import assign, hold
from guides.lifecycle.draft import open_next
from guides.lifecycle.recall import recall
from guides.lifecycle.withdraw import withdraw
from guides.models import Guide, Lot, User
from guides.queries import catalogue, lots, versions
from tests.factories import CoffeeFactory, GuideFactory, GuideVersionFactory, LotFactory, published

pytestmark = pytest.mark.django_db


@pytest.fixture
def lot() -> Lot:
    made = LotFactory()
    address.issue(made)
    return made


def guide_of(lot: Lot) -> Guide:
    return published(guide=GuideFactory(coffee=lot.coffee)).guide


def test_a_code_is_read_as_typed(lot: Lot) -> None:
    code = lots.code_of(lot)
    for text in (code, code.lower(), f" {code[:4]}-{code[4:]} "):
        assert lots.by_code(text) == lot


@pytest.mark.parametrize("text", ["", "OM-084", "00000000", "0" * 200, "ÅÄÖ", "'; --", "\x00" * 8, "0000000U"])
def test_anything_else_finds_nothing(lot: Lot, text: str) -> None:
    assert lots.by_code(text) is None


def test_guesses_find_nothing(lot: Lot) -> None:
    """Seven random characters: 35 bits."""
    hits = sum(lots.by_code(short_code.new()) is not None for _guess in range(2000))
    assert hits == 0


def test_every_code_of_a_lot_works_for_ever_and_the_newest_is_printed(lot: Lot, publisher: User) -> None:
    first = lots.code_of(lot)
    second = address.issue(lot).code
    assert lots.code_of(lot) == second
    lot.is_public = False
    lot.save()
    recall(lot, by=publisher, reason="A screw.")
    assert lots.by_code(first) == lots.by_code(second) == lot


def test_a_lot_without_a_code_has_none() -> None:
    assert lots.code_of(LotFactory()) == ""


def test_guides_of_a_lot_agree_with_each_guide_asked_alone(lot: Lot, roaster: User, publisher: User) -> None:
    following, pinned, held, gone = (assign(lot, guide_of(lot), by=roaster) for _guide in range(4))
    assign(lot, GuideVersionFactory(guide=GuideFactory(coffee=lot.coffee)).guide, by=roaster)
    for each in (following, pinned):
        published(open_next(each.guide, by=roaster))
    assign(lot, pinned.guide, by=roaster, pinned=versions.printed(pinned.guide.number, 1))
    hold(held, by=roaster, reason="Drains late.")
    withdraw(versions.current(gone.guide), by=publisher, reason="Old.")
    shown = lots.guides_of(lot)
    assert [(a.guide, v.revision) for a, v in shown] == [(following.guide, 2), (pinned.guide, 1), (gone.guide, 1)]
    for assignment in lot.assignments.all():
        assert versions.shown_for(assignment) == dict(shown).get(assignment)


@pytest.mark.data
def test_queries_do_not_grow_with_guides(lot: Lot, roaster: User, django_assert_num_queries: Any) -> None:
    assign(lot, guide_of(lot), by=roaster)
    counts = []
    for _more in range(2):
        with django_assert_num_queries(4) as counted:
            for _assignment, version in lots.guides_of(lot):
                assert version.steps.all()
                assert version.guide.coffee.name
                assert version.brewer.vessel.name
                assert not version.texts.all()
        counts.append(len(counted))
        for _guide in range(4):
            assign(lot, guide_of(lot), by=roaster)
    print(f"queries for 1 and 5 guides: {counts}")


def test_the_newest_lots_leave_out_recalled_ones(lot: Lot, publisher: User) -> None:
    other = LotFactory(coffee=lot.coffee)
    recall(lot, by=publisher, reason="A screw.")
    assert list(lots.newest_of(lot.coffee)) == [other]


def test_the_catalogue_lists_coffees_on_sale_with_a_published_guide(publisher: User, roaster: User) -> None:
    shown, off, empty = CoffeeFactory(name="A"), CoffeeFactory(name="B", is_current=False), CoffeeFactory(name="C")
    first, second = (published(guide=GuideFactory(coffee=shown)) for _guide in range(2))
    published(guide=GuideFactory(coffee=off))
    GuideVersionFactory(guide=GuideFactory(coffee=empty))
    newer = published(open_next(first.guide, by=roaster))
    listed = catalogue.listed(list(catalogue.on_sale()))
    assert [(entry.coffee, entry.guides, entry.more) for entry in listed] == [(shown, (newer, second), 0)]
    withdraw(newer, by=publisher, reason="Old.")
    assert catalogue.of_coffee(shown) == (first, second)
    assert catalogue.of_coffee(empty) == ()


@pytest.mark.data
def test_the_catalogue_takes_the_same_few_queries(django_assert_num_queries: Any) -> None:
    for _coffee in range(3):
        published()
    with django_assert_num_queries(3):
        assert len(catalogue.listed(list(catalogue.on_sale()))) == 3
