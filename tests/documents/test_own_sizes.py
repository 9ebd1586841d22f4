"""Sizes and stock of the roastery's own: chosen, laid out, cut and read back like those of the house."""

from __future__ import annotations

import io

import numpy
import pikepdf
import pytest

from guides.choices import PaperLayout, SheetSize
from guides.documents import choices
from guides.documents.formats import FORMATS, STICKER_50X30
from guides.documents.insert import InsertRefused, inserts_pdf
from guides.documents.orders import Order, order_of
from guides.documents.packing import run_pdf
from guides.documents.read_back import read
from guides.documents.sheets import A4, PAPERS, for_format
from guides.models import GuideVersion, Lot
from tests.documents.printing import printed
from tests.factories import LabelStockFactory, PackingRunFactory, PrintFormatFactory

Bag = tuple[Lot, GuideVersion]
MM = 72 / 25.4


def test_what_the_desk_offers_is_what_the_documents_know() -> None:
    assert set(PaperLayout.values) == set(FORMATS)
    assert set(SheetSize.values) == set(PAPERS)


@pytest.mark.parametrize("layout", PaperLayout.values)
def test_every_layout_can_have_another_size(bag: Bag, layout: str) -> None:
    base = FORMATS[layout]
    row = PrintFormatFactory(
        layout=layout,
        width_mm=base.width_mm + 12,
        height_mm=base.height_mm + 10,
        margin_mm=base.margin_mm,
        symbol_mm=base.symbol_mm,
        bleed_mm=0,
    )
    lot, version = bag
    found = read(inserts_pdf(lot, [(version, "en")], choices.as_format(row)))
    assert len(found.symbols) == 1
    for size in found.sizes_mm:
        assert size == pytest.approx((base.width_mm + 12, base.height_mm + 10), abs=0.1)


def test_a_run_is_made_in_an_own_size_and_on_own_stock(bag: Bag) -> None:
    card, stock = PrintFormatFactory(), LabelStockFactory()
    run = PackingRunFactory(bag=bag, paper=card.key, copies=5)
    assert len(read(run_pdf(order_of(run))).symbols) == 6
    stickers = PackingRunFactory(bag=bag, paper=STICKER_50X30.key, sheet=stock.key, copies=3, skip=22)
    found = read(run_pdf(order_of(stickers)))
    assert [symbol.page for symbol in found.symbols] == [0, 0, 1]


def test_a_size_that_is_gone_refuses_the_run_and_says_what_to_do(bag: Bag) -> None:
    card = PrintFormatFactory()
    run = PackingRunFactory(bag=bag, paper=card.key)
    card.delete()
    with pytest.raises(InsertRefused, match=r"is not known\. Order the run again"):
        order_of(run)


def test_stock_takes_only_what_is_of_its_labels_size(bag: Bag) -> None:
    lot, version = bag
    stock = choices.as_stock(LabelStockFactory())
    with pytest.raises(InsertRefused, match="another size than the format"):
        run_pdf(Order(lot, version, "en", FORMATS["card-a7"], copies=1, sheet=stock))


def test_a_bleed_runs_over_every_cut_and_comes_along_onto_the_sheet(bag: Bag) -> None:
    lot, version = bag
    card = choices.as_format(PrintFormatFactory())
    single = inserts_pdf(lot, [(version, "en")], card)
    with pikepdf.open(io.BytesIO(single)) as pdf:
        trim, media = ([float(edge) / MM for edge in box] for box in (pdf.pages[0].trimbox, pdf.pages[0].mediabox))
    assert trim == pytest.approx([0, 0, 80, 120], abs=0.05)
    assert media == pytest.approx([-3, -3, 83, 123], abs=0.05)
    layout = for_format(A4, card)
    assert layout is not None
    # 80 + 6 twice across 210, 120 + 6 twice down 297.
    assert (layout.per_sheet, layout.gutter_x_mm) == (4, 6)
    sheet = printed(run_pdf(Order(lot, version, "en", card, copies=4, sheet=A4)), page=2, dpi=100)
    first = next(layout.fronts())
    across = [first.left_mm - 2.5, first.left_mm + 40, first.left_mm + 82.5]
    above, within = 297 - first.bottom_mm - 120 - 2.5, 297 - first.bottom_mm - 120 + 3.5
    assert max(grey(sheet, x, above) for x in across) < 140
    assert min(grey(sheet, x, within) for x in across[1:2]) > 240
    # Marks stand outside the bleed, at each cut.
    mark = sheet[px(297 - first.bottom_mm - 120 - 3 - 3)]
    assert mark[px(first.left_mm - 1) : px(first.left_mm + 1)].min() < 200


def px(mm: float) -> int:
    return round(mm / 25.4 * 100)


def grey(picture: numpy.ndarray, x_mm: float, y_mm: float) -> int:
    return int(picture[px(y_mm), px(x_mm)])
