"""Several lots in one file: each on sheets of its own under its own slip, in the order packed, read back whole."""

from __future__ import annotations

import io
from collections import Counter
from dataclasses import replace

import pypdf
import pytest

from guides.documents import apart, packing, preflight
from guides.documents.formats import CARD_A7, INSERT_A6, STICKER_50X30
from guides.documents.insert import InsertRefused, address_on
from guides.documents.orders import Order
from guides.documents.packing import run_pdf, runs_pdf
from guides.documents.read_back import read
from guides.documents.sheets import A4, LABELS_A4
from guides.lifecycle import recall
from guides.models import User
from guides.presenters import addresses
from guides.queries import lots
from tests.documents.printing import printed
from tests.documents.test_many_lots import SAME_TO_THE_EYE, share_that_differs
from tests.factories import ValveVersionFactory, published
from tests.factories.packed import packed

pytestmark = pytest.mark.django_db


@pytest.fixture
def orders() -> list[Order]:
    """Two lots of one guide with a lot of another between them."""
    kelp, rope = published(ValveVersionFactory(title="Kelp Light for the table")), published(ValveVersionFactory())
    bags = [packed(rope, name="RW-078"), packed(kelp, name="KL-088"), packed(rope, name="RW-091")]
    counts = (9, 3, 8)
    return [Order(lot, version, "en", CARD_A7, copies, A4) for (lot, version), copies in zip(bags, counts, strict=True)]


def insert_of(order: Order) -> str:
    return str(address_on(order.paper, order.lot, lots.code_of(order.lot), order.version, "en"))


def slip_of(order: Order) -> str:
    return str(addresses.of_lot(lots.code_of(order.lot)))


def on_pages(pdf: bytes) -> list[Counter[str]]:
    found = read(pdf)
    return [Counter(each.text for each in found.symbols if each.page == page) for page in range(len(found.sizes_mm))]


def test_every_lot_lies_under_its_slip_in_the_order_packed_and_can_be_taken_out(orders: list[Order]) -> None:
    first, second, third = orders
    pdf = runs_pdf([replace(first, skip=2), second, third])
    # Eight cards on a sheet; places that are used up are used up once, on the very first sheet.
    pages = [
        {slip_of(first): 1}, {insert_of(first): 6}, {insert_of(first): 3},
        {slip_of(second): 1}, {insert_of(second): 3},
        {slip_of(third): 1}, {insert_of(third): 8},
    ]  # fmt: skip
    assert on_pages(pdf) == pages
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    begins = [(item["/Title"], reader.get_destination_page_number(item)) for item in reader.outline]
    assert begins == [("RW-078", 0), ("KL-088", 3), ("RW-091", 5)]
    slip = reader.pages[5].extract_text()
    assert "RW-091" in slip
    assert "3 of 3 in this file" in slip
    assert on_pages(apart.of_lots(pdf, {"KL-088"})) == pages[3:5]
    assert on_pages(apart.of_lots(pdf, {"RW-078", "RW-091"})) == pages[:3] + pages[5:]
    assert apart.of_lots(pdf, {"RW-078", "KL-088", "RW-091"}) == pdf


def test_a_sheet_is_what_a_run_of_that_lot_alone_prints_and_the_same_on_every_day(orders: list[Order]) -> None:
    """Lots share the type size of the one with most to say, so these have names of one length."""
    both = [orders[0], orders[2]]
    whole, alone = runs_pdf(both), run_pdf(orders[2])
    assert whole == runs_pdf(both)
    assert apart.of_lots(alone, {"RW-091"}) == alone
    assert share_that_differs(printed(alone, 2, 100), printed(whole, 5, 100)) < SAME_TO_THE_EYE
    assert share_that_differs(printed(alone, 2, 100), printed(whole, 2, 100)) > SAME_TO_THE_EYE


def test_a_sign_of_life_is_given_at_every_guide_slip_and_page(
    orders: list[Order], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Work that is silent for too long is taken for dead and given to another worker."""
    monkeypatch.setattr(packing, "_SLIPS_AT_ONCE", 1)
    told: list[int] = []
    runs_pdf(orders, lambda done, _total: told.append(done))
    # Two guides, three slips, then seven pages.
    assert told == [0, 0, 0, 1, 2, 2, 2, *range(3, 11)]


def test_two_sides_stay_two_sides(orders: list[Order]) -> None:
    both = [replace(order, paper=INSERT_A6, copies=4) for order in orders[:2]]
    found = on_pages(runs_pdf(both))
    assert found == [page for order in both for page in ({slip_of(order): 1}, {}, {insert_of(order): 4}, {})]


def test_labels_get_no_slips(orders: list[Order]) -> None:
    labels = [replace(order, paper=STICKER_50X30, sheet=LABELS_A4) for order in orders]
    assert on_pages(runs_pdf(labels)) == [{slip_of(order): order.copies} for order in orders]


def test_every_lot_that_stops_them_is_named(orders: list[Order], publisher: User) -> None:
    for order in orders[1:]:
        recall.recall(order.lot, by=publisher, reason="A screw may be in the coffee.")
        order.lot.refresh_from_db()
    with pytest.raises(InsertRefused) as refused:
        runs_pdf(orders)
    assert [reason.split(":")[0] for reason in refused.value.reasons] == [
        "Lot RW-091 is recalled",
        "Lot KL-088 is recalled",
    ]


def test_what_does_not_fit_names_its_lots(orders: list[Order]) -> None:
    lot, version = packed(published(ValveVersionFactory(title="W" * 80)), name="OM-084")
    with pytest.raises(InsertRefused, match=r"^OM-084: .*Title"):
        runs_pdf([*orders, replace(orders[0], lot=lot, version=version)])


def test_sheets_under_the_wrong_slip_are_found(orders: list[Order], monkeypatch: pytest.MonkeyPatch) -> None:
    """The last look; without it, the same file would be handed over."""
    real = packing._imposed

    def swapped(given: list[Order], inserts: packing._Inserts) -> bytes:
        return real(given, replace(inserts, pages=(inserts.pages[1], inserts.pages[0], inserts.pages[2])))

    monkeypatch.setattr(packing, "_imposed", swapped)
    with pytest.raises(InsertRefused, match="does not belong on this paper"):
        runs_pdf(orders)
    monkeypatch.setattr(preflight, "check_run", lambda *_: None)
    assert insert_of(orders[1]) in on_pages(runs_pdf(orders))[1]
