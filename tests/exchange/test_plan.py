"""What becomes of each row, and that bringing it in twice comes to the same as once."""

from __future__ import annotations

import pytest

from guides.choices import Verb
from guides.exchange.incoming import take_in
from guides.exchange.incoming.cells import Dates, Decimals, Reading
from guides.exchange.incoming.kinds import KINDS
from guides.exchange.incoming.plan import Plan
from guides.lifecycle.errors import Refused
from guides.models import Address, Coffee, Event, GreenLot, GrinderPoint, Lot, LotPart, Roast, User
from tests.factories import GrinderFactory, LotFactory, UserFactory

from .listed import as_csv, as_xlsx, rows

pytestmark = pytest.mark.django_db
LOTS = KINDS["lots"]


def keep(kind: str, text: str | bytes, by: User, **reading: object) -> Plan:
    data = text if isinstance(text, bytes) else text.encode()
    return take_in.keep(KINDS[kind], data, Reading(**reading), by=by, source=f"{kind}.csv")  # type: ignore[arg-type]


@pytest.mark.data
def test_new_lots_get_a_code_and_a_line_as_by_hand(rope_walk: Coffee, roaster: User) -> None:
    keep("lots", as_csv(rows(3)), roaster)
    lot = Lot.objects.get(name="RW-002")
    assert (str(lot.green_kg), str(lot.loss_percent), lot.bag_g, lot.gas) == ("12.50", "13.4", 250, "lively")
    assert Address.objects.filter(lot=lot).count() == 1
    assert Event.objects.get(verb=Verb.CREATED, lot=lot).by == roaster
    told = Event.objects.get(verb=Verb.BROUGHT_IN)
    assert (told.by, told.reason, told.details["new"]) == (roaster, "lots.csv", 3)


@pytest.mark.data
def test_the_same_file_again_does_nothing_and_another_number_changes_one(rope_walk: Coffee, roaster: User) -> None:
    table = rows(3)
    keep("lots", as_csv(table), roaster)
    codes = set(Address.objects.values_list("code", flat=True))
    again = keep("lots", as_xlsx([list(row) for row in table]), roaster)
    assert [len(part) for part in (again.new, again.changed, again.unchanged)] == [0, 0, 3]
    table[2][3] = "12,75"
    changed = keep("lots", as_csv(table, ";", "utf-16"), roaster)
    assert [planned.changes for planned in changed.changed] == [[("green, kg", "12.5", "12.75")]]
    assert Lot.objects.count() == 3
    assert set(Address.objects.values_list("code", flat=True)) == codes
    event = Event.objects.get(verb=Verb.CHANGED)
    assert (event.lot.name, event.details) == ("RW-002", {"changes": {"green_kg": ["12.5", "12.75"]}})


def test_a_whole_roastery_moves_in(roaster: User) -> None:
    """Every list, each by what its file calls the others, days first and commas in the numbers."""
    told = {"dates": Dates.DAY_FIRST, "decimals": Decimals.COMMA}
    keep("coffees", "code;name;roast_level;gtin\nRW;Rope Walk;mellanljus rost;04006381333931\nKL;Kelp Light;;\n"
         .replace("mellanljus rost", "medium-light"), roaster, **told)  # fmt: skip
    keep("green-lots", "name;arrived_on;mass_kg\nG1;01.02.2025;600,5\n", roaster, **told)
    keep("roasts", "name;green_lot;roasted_on;green_kg;roasted_kg\nR1;G1;01.03.2025;15;13,0\n", roaster, **told)
    keep("lots", "name;coffee;roasted_on;green_kg;loss_percent\nRW-1;rope walk;1.3.2025;15,00;13,4\n", roaster, **told)
    keep("lot-parts", "lot;roast;mass_kg\nRW-1;R1;12,70\n", roaster, **told)
    keep("grinders", "name;setting_word;step\nHarrow;dial;0,25\n", roaster, **told)
    points = "grinder;setting;median_um;measured_by\nharrow;3;450;laser\nHarrow;5,25;690;sieve\n"
    keep("grinder-points", points, roaster, **told)
    assert Coffee.objects.get(code="RW").slug == "rope-walk"
    assert LotPart.objects.get().lot.coffee.name == "Rope Walk"
    assert (Roast.objects.get().green_lot, str(GreenLot.objects.get().mass_kg)) == (GreenLot.objects.get(), "600.50")
    assert [str(point) for point in GrinderPoint.objects.order_by("setting")] == ["3.00 → 450 µm", "5.25 → 690 µm"]
    assert not keep("grinder-points", points, roaster, **told).does_something


def test_an_empty_cell_empties_only_what_may_be_empty(rope_walk: Coffee, roaster: User) -> None:
    LotFactory(name="RW-1", coffee=rope_walk, roast_level="light", gas="rested", rest_days=5, best_days=30)
    keep("lots", "name,roast_level,gas,rest_days,best_days\nRW-1,,,,\n", roaster)
    lot = Lot.objects.get()
    assert (lot.roast_level, lot.gas, lot.rest_days) == ("", "rested", None)


def test_a_row_may_take_what_another_gives_up(roaster: User) -> None:
    keep("coffees", "code,name,gtin\nA,One,04006381333931\nB,Two,\n", roaster)
    keep("coffees", "code,name,gtin\nA,One,\nB,Two,04006381333931\n", roaster)
    assert dict(Coffee.objects.values_list("code", "gtin")) == {"A": "", "B": "04006381333931"}


def test_two_rows_that_want_the_same_are_refused(roaster: User) -> None:
    data = b"code,name,gtin\nA,One,04006381333931\nB,Two,04006381333931\n"
    (planned,) = take_in.look(KINDS["coffees"], data, Reading()).refused
    assert [(trouble.row, trouble.column) for trouble in planned.troubles] == [(3, "gtin")]
    assert "another coffee has it already" in planned.troubles[0].message


def test_rules_over_two_columns_name_both(rope_walk: Coffee) -> None:
    data = b"name,coffee,roasted_on,green_kg,loss_percent,rest_days,best_days\nRW-1,RW,2025-03-01,12,12,30,5\n"
    (planned,) = take_in.look(LOTS, data, Reading()).refused
    assert {trouble.column for trouble in planned.troubles} == {"rest_days", "best_days"}


def test_looking_writes_nothing(rope_walk: Coffee) -> None:
    take_in.look(LOTS, as_csv(rows(3)), Reading())
    assert Lot.objects.count() == 0


def test_what_was_agreed_to_must_still_hold(rope_walk: Coffee, roaster: User) -> None:
    data = as_csv(rows(2))
    shown = take_in.look(LOTS, data, Reading()).digest()
    LotFactory(name="RW-001", coffee=rope_walk)  # somebody enters one by hand meanwhile
    with pytest.raises(take_in.Moved, match="Somebody changed rows"):
        take_in.keep(LOTS, data, Reading(), by=roaster, source="lots.csv", shown=shown)
    assert Lot.objects.count() == 1


@pytest.mark.parametrize("role", ["packer", "shop", "reader"])
def test_who_may_not_enter_lots_brings_none_in(rope_walk: Coffee, role: str) -> None:
    with pytest.raises(Refused, match="may not bring in lists"):
        keep("lots", as_csv(rows(1)), UserFactory(role=role))
    assert Lot.objects.count() == 0


def test_a_grinder_that_is_not_there_is_named(roaster: User) -> None:
    GrinderFactory(name="Harrow")
    data = b"grinder,setting,median_um\nTimber,3,450\n"
    (planned,) = take_in.look(KINDS["grinder-points"], data, Reading()).refused
    assert str(planned.troubles[0]).startswith("row 2, column grinder, “Timber”: There is none of this name here.")
