"""Recalling green coffee or a roast reaches every packed lot that holds some of it, and no other."""

from __future__ import annotations

import pytest
from django.core.exceptions import ValidationError
from hypothesis import given
from hypothesis import strategies as st

from guides.lifecycle import recall
from guides.models import Event, GreenLot, Lot, LotPart, Roast, User
from guides.queries import trace
from tests.factories import LotFactory
from tests.factories.green import filled, green_lot, roasted

from .conftest import refused

pytestmark = [pytest.mark.django_db, pytest.mark.data]
SCREW = "A screw may be in the coffee."


@pytest.fixture
def harbour(db: None) -> dict[str, GreenLot | Roast | Lot]:
    """Two green lots, three roasts; one lot is blended from both crops."""
    first, second = green_lot(), green_lot()
    a, b, c = roasted(first), roasted(first), roasted(second)
    alone, blend, other, apart = (LotFactory() for _lot in range(4))
    filled(alone, a)
    filled(blend, b, "5.00")
    filled(blend, c, "5.00")
    filled(other, c, "5.07")
    return {"first": first, "a": a, "b": b, "c": c, "alone": alone, "blend": blend, "other": other, "apart": apart}


def recalled() -> set[str]:
    return set(Lot.objects.filter(recalled_at__isnull=False).values_list("name", flat=True))


@pytest.mark.parametrize(
    ("origin", "hit"),
    [("first", {"alone", "blend"}), ("a", {"alone"}), ("b", {"blend"}), ("c", {"blend", "other"})],
)
def test_every_lot_that_holds_it_is_recalled_and_no_other(harbour, publisher: User, origin: str, hit: set[str]) -> None:
    found = recall.recall_all(harbour[origin], by=publisher, reason=SCREW)
    assert (found.recalled_by, found.recall_reason) == (publisher, SCREW)
    assert recalled() == {harbour[name].name for name in hit}
    assert set(Lot.objects.exclude(recalled_at=None).values_list("recall_reason", flat=True)) == {SCREW}
    line = Event.objects.get(verb="recalled_all")
    assert set(line.details["lots"]) == recalled()


def test_a_lot_recalled_before_keeps_its_own_notice(harbour, publisher: User) -> None:
    recall.recall(harbour["blend"], by=publisher, reason="Its bags leak.")
    recall.recall_all(harbour["first"], by=publisher, reason=SCREW)
    harbour["blend"].refresh_from_db()
    assert harbour["blend"].recall_reason == "Its bags leak."
    assert Event.objects.get(verb="recalled_all").details["lots"] == [harbour["alone"].name]


def test_nothing_is_filled_from_it_afterwards(harbour, publisher: User) -> None:
    recall.recall_all(harbour["first"], by=publisher, reason=SCREW)
    for roast in Roast.objects.filter(green_lot=harbour["first"]):
        with pytest.raises(ValidationError, match="Nothing is filled from it"):
            LotPart(lot=harbour["apart"], roast=roast, mass_kg=1).full_clean()
    LotPart(lot=harbour["apart"], roast=harbour["c"], mass_kg=1).full_clean()


@pytest.mark.parametrize("reason", ["", " ", "x" * 301])
def test_without_a_reason_nothing_happens(harbour, publisher: User, reason: str) -> None:
    with refused("Reason", "recall_reason"):
        recall.recall_all(harbour["first"], by=publisher, reason=reason)
    assert recalled() == set()


def test_twice_is_refused(harbour, publisher: User) -> None:
    recall.recall_all(harbour["a"], by=publisher, reason=SCREW)
    with refused("recalled already", "recalled_at"):
        recall.recall_all(harbour["a"], by=publisher, reason=SCREW)


def test_recalling_the_green_lot_after_one_of_its_roasts_reaches_the_rest(harbour, publisher: User) -> None:
    recall.recall_all(harbour["a"], by=publisher, reason="Burnt.")
    recall.recall_all(harbour["first"], by=publisher, reason=SCREW)
    assert recalled() == {harbour["alone"].name, harbour["blend"].name}


def test_all_or_nothing(harbour, publisher: User, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_arguments: object, **_options: object) -> None:
        raise OSError("no room left")

    monkeypatch.setattr(recall.audit, "record", broken)
    with pytest.raises(OSError, match="no room"):
        recall.recall_all(harbour["first"], by=publisher, reason=SCREW)
    assert recalled() == set()


@given(st.lists(st.tuples(st.integers(0, 2), st.integers(0, 3)), unique=True, max_size=8))
def test_a_lot_is_hit_exactly_when_a_part_leads_to_it(parts: list[tuple[int, int]]) -> None:
    """Whatever is filled from whatever: the reach is what a walk by hand over the parts finds."""
    green = green_lot()
    roasts, lots = [roasted(green), roasted(green), roasted()], [LotFactory() for _lot in range(4)]
    for roast, lot in parts:
        filled(lots[lot], roasts[roast], "1.00")
    for origin, sources in ((green, {0, 1}), (roasts[0], {0}), (roasts[2], {2})):
        by_hand = {lots[lot].name for roast, lot in parts if roast in sources}
        assert {lot.name for lot in trace.lots_holding(origin)} == by_hand
