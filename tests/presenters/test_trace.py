"""One up, one down: sums that add up, or say by how much they do not."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import given
from hypothesis import strategies as st

from guides.choices import Outlet
from guides.lifecycle.dispatch import dispatch
from guides.models import Lot, User
from guides.presenters import trace
from guides.presenters.trace import Balance
from tests.factories import LotFactory
from tests.factories.green import filled, green_lot, roasted

pytestmark = pytest.mark.django_db


@pytest.fixture
def rope_walk(db: None) -> Lot:
    """12 kg less 13.6 % less 0.3 kg for tasting: 40 bags of 250 g (worked by hand: 10.068 kg / 0.25 kg = 40.3)."""
    lot = LotFactory(name="RW-091", green_kg="12.00", loss_percent="13.6", qc_kg="0.30", bag_g=250)
    return filled(lot, roasted(green_lot(name="Rope Walk, first crop", supplier_reference="CR-7")))


def sent(lot: Lot, by: User, *lines: tuple[Outlet, int, str]) -> None:
    for outlet, bags, place in lines:
        dispatch(lot, outlet, bags, by=by, place=place)


def test_forty_bags_are_accounted_for(rope_walk: Lot, packer: User) -> None:
    sent(
        rope_walk,
        packer,
        (Outlet.SHELF, 12, ""),
        (Outlet.WEB, 20, ""),
        (Outlet.WEB, 2, ""),
        (Outlet.CAFE, 5, "Lantern Quay café"),
        (Outlet.RETAINED, 1, ""),
    )
    (green,) = trace.of(rope_walk).greens
    (lot,) = trace.of(green_of(rope_walk)).lots
    assert [(line.place, line.bags) for line in lot.out] == [("Lantern Quay café", 5), ("", 1), ("", 12), ("", 22)]
    assert (lot.bags.whole, lot.bags.parts, lot.bags.left) == (40, 40, 0)
    assert lot.is_whole
    assert (green.name, green.supplier_reference) == ("Rope Walk, first crop", "CR-7")
    (roast,) = green.roasts
    # 10.37 kg roasted = 10.07 in the lot + 0.30 for tasting; 60 kg arrived, 12 are roasted.
    assert roast.mass.left == 0
    assert green.mass.left == 48


def green_of(lot: Lot):
    return lot.parts.get().roast.green_lot


@pytest.mark.parametrize(("out", "left", "over"), [(37, 3, 0), (42, -2, 2)])
def test_what_does_not_add_up_says_by_how_much(rope_walk: Lot, packer: User, out: int, left: int, over: int) -> None:
    sent(rope_walk, packer, (Outlet.SHELF, out, ""))
    (lot,) = trace.of(rope_walk).lots
    assert (lot.bags.left, lot.bags.over, lot.is_whole) == (left, over, False)


def test_coffee_in_bags_that_no_roast_gave_is_seen(rope_walk: Lot) -> None:
    rope_walk.parts.update(mass_kg=Decimal("9.00"))
    (lot,) = trace.of(rope_walk).lots
    assert (lot.mass.adds_up, lot.mass.over) == (False, Decimal("1.00"))
    roast = trace.of(rope_walk).greens[0].roasts[0]
    assert (roast.mass.adds_up, roast.mass.left) == (False, Decimal("1.07"))


def test_a_lot_without_a_roast_is_no_whole_trace(packer: User) -> None:
    found = trace.of(LotFactory())
    assert found.greens == ()
    assert not found.lots[0].is_whole


def test_what_is_kept_of_a_blend_comes_from_its_roasts_in_proportion() -> None:
    """0.40 kg kept of 3 parts to 1: 0.30 and 0.10, by hand."""
    blend = LotFactory(qc_kg="0.40")
    first, second = roasted(roasted_kg=Decimal("7.80")), roasted(roasted_kg=Decimal("2.60"))
    filled(blend, first, "7.50")
    filled(blend, second, "2.50")
    kept = {line.name: line.kept_kg for green in trace.of(blend).greens for line in green.roasts}
    assert kept == {first.name: Decimal("0.30"), second.name: Decimal("0.10")}


def test_a_long_trace_costs_as_many_queries_as_a_short_one(packer: User) -> None:
    green = green_lot(mass_kg=Decimal(600))

    def queries() -> int:
        with CaptureQueriesContext(
            connection,
        ) as caught:
            trace.of(green)
        return len(caught)

    sent(filled(LotFactory(), roasted(green)), packer, (Outlet.SHELF, 3, ""))
    short = queries()
    for _lot in range(5):
        sent(filled(LotFactory(), roasted(green)), packer, (Outlet.SHELF, 3, ""), (Outlet.CAFE, 2, "Lantern Quay café"))
    assert queries() == short


_KG = st.decimals(0, 1000, places=2)


@given(_KG, st.lists(_KG, max_size=6))
def test_whole_is_parts_and_what_is_left_or_over(whole: Decimal, parts: list[Decimal]) -> None:
    balance = Balance(whole, sum(parts, Decimal(0)))
    assert balance.whole == balance.parts + balance.left
    assert balance.over == max(balance.parts - balance.whole, 0)
    assert balance.adds_up == ((abs(balance.left) <= Decimal("0.01") and balance.left <= 0) or balance.left == 0)
