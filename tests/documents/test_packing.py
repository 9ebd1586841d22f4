"""A packing run read back: counts on every sheet, the slip on top, and what stops it."""

from __future__ import annotations

import io

import pypdf
import pytest

from guides.choices import Flip
from guides.documents import packing, preflight, read_back
from guides.documents.formats import CARD_A7, INSERT_A6, LARGE_A5, WALL_A4
from guides.documents.insert import InsertRefused
from guides.documents.orders import Order
from guides.documents.packing import run_pdf
from guides.documents.sheets import A4, LETTER
from guides.lifecycle import recall
from guides.models import GuideVersion, Lot, User
from guides.presenters import addresses
from guides.queries import lots

Bag = tuple[Lot, GuideVersion]


def text(pdf: bytes, page: int) -> str:
    words = pypdf.PdfReader(io.BytesIO(pdf)).pages[page].extract_text()
    return " ".join(words.replace("\N{NO-BREAK SPACE}", " ").split())


def per_page(pdf: bytes) -> list[int]:
    found = read_back.read(pdf)
    return [sum(symbol.page == page for symbol in found.symbols) for page in range(len(found.sizes_mm))]


def test_every_copy_is_there_and_leads_to_this_bag(bag: Bag) -> None:
    lot, version = bag
    pdf = run_pdf(Order(lot, version, "en", INSERT_A6, copies=7, sheet=A4))
    found = read_back.read(pdf)
    # The slip and its empty back, then two sheets of four; only fronts have a code.
    assert per_page(pdf) == [1, 0, 4, 0, 3, 0]
    code = lots.code_of(lot)
    insert = str(addresses.of_insert(code, version.guide.number, version.revision or 0, "en"))
    assert [symbol.text for symbol in found.symbols] == [str(addresses.of_lot(code)), *[insert] * 7]
    assert all(size == pytest.approx((210, 297), abs=0.1) for size in found.sizes_mm)
    assert all(font.embedded for font in found.fonts)


def test_the_slip_says_what_lies_beneath(bag: Bag) -> None:
    lot, version = bag
    order = Order(lot, version, "sv", INSERT_A6, copies=9, sheet=A4, flip=Flip.SHORT, skip=1, mark="R2")
    slip = text(run_pdf(order), 0)
    for expected in (lot.name, version.title, "revision 1, R2", "Swedish", "9 × insert, A6", "3 sheets", "short edge"):
        assert expected in slip
    assert "the first place is used up" in slip


def test_the_mark_of_a_reprint_stands_on_every_insert_and_the_revision_stays(bag: Bag) -> None:
    lot, version = bag
    back = text(run_pdf(Order(lot, version, "en", INSERT_A6, copies=1, mark="R1")), 1)
    assert "revision 1" in back
    assert "R1" in back


def test_paper_of_its_own_size_needs_no_sheet_and_no_slip(bag: Bag) -> None:
    lot, version = bag
    pdf = run_pdf(Order(lot, version, "en", LARGE_A5, copies=2))
    assert per_page(pdf) == [0, 1, 0, 1]


def test_a_sheet_in_part_used_up_is_used_from_there(bag: Bag) -> None:
    lot, version = bag
    order = Order(lot, version, "en", CARD_A7, copies=8, sheet=LETTER, skip=5)
    assert order.sheets == 3
    assert per_page(run_pdf(order)) == [1, 1, 6, 1]


def test_the_same_run_is_the_same_bytes(bag: Bag) -> None:
    lot, version = bag
    order = Order(lot, version, "en", CARD_A7, copies=5, sheet=A4)
    assert run_pdf(order) == run_pdf(order)


def test_progress_is_told_and_may_stop_the_work(bag: Bag) -> None:
    class Stopped(Exception):
        pass

    told: list[tuple[int, int]] = []

    def report(done: int, total: int) -> None:
        told.append((done, total))
        if done == 2:
            raise Stopped

    lot, version = bag
    with pytest.raises(Stopped):
        run_pdf(Order(lot, version, "en", CARD_A7, copies=5, sheet=A4), report)
    # Three steps to make it, then its slip and its sheet are read back.
    assert told == [(0, 5), (1, 5), (2, 5)]
    told.clear()
    run_pdf(Order(lot, version, "en", CARD_A7, copies=5, sheet=A4), lambda done, total: told.append((done, total)))
    assert told == [(done, 5) for done in range(6)]


def test_a_recalled_lot_is_not_printed(bag: Bag, publisher: User) -> None:
    lot, version = bag
    recall.recall(lot, by=publisher, reason="A screw may be in the coffee.")
    lot.refresh_from_db()
    with pytest.raises(InsertRefused, match="recalled"):
        run_pdf(Order(lot, version, "en", INSERT_A6, copies=1, sheet=A4))


def test_a_format_larger_than_the_sheet_is_refused(bag: Bag) -> None:
    lot, version = bag
    with pytest.raises(InsertRefused, match="larger than the sheet"):
        run_pdf(Order(lot, version, "en", WALL_A4, copies=1, sheet=LETTER))


def test_a_run_with_a_copy_missing_or_of_another_lot_is_refused(bag: Bag, monkeypatch: pytest.MonkeyPatch) -> None:
    """The last look finds what laying out got wrong; without it, the same file would be handed over."""
    lot, version = bag
    order = Order(lot, version, "en", CARD_A7, copies=6, sheet=A4)
    real = packing.impose
    monkeypatch.setattr(
        packing,
        "impose",
        lambda pdf, wanted, layout, **options: real(pdf, [packing.Copies((0,), 5)], layout, **options),
    )
    with pytest.raises(InsertRefused, match="5 codes can be read, and there should be 6"):
        run_pdf(order)
    monkeypatch.setattr(preflight, "check_run", lambda *_: None)
    assert per_page(run_pdf(order)) == [1, 5]
