"""Every format in every language of a guide, read back: its paper, its words and its code."""

from __future__ import annotations

import io
import subprocess
from typing import Any

import numpy
import page as page_checker
import pypdf
import pytest
from PIL import Image

from guides.documents.formats import CARD_A7, FORMATS, INSERT_A6, LARGE_A5, STICKER_50X30, WALL_A4, WITH_BLEED, Format
from guides.documents.insert import InsertRefused, address_on, inserts_pdf
from guides.documents.orders import Order
from guides.documents.packing import run_pdf
from guides.documents.read_back import read
from guides.documents.sheets import A4, LETTER, STOCKS, Stock, for_format
from guides.models import Coffee, GuideVersion, Lot, Roastery
from guides.presenters import addresses
from guides.queries import lots
from tests.documents.printing import (
    around,
    blurred_and_noisy,
    decoded_by_opencv,
    decoded_by_zxing,
    matrix_of_segno,
    matrix_on,
    print_of,
    printed,
)
from tests.factories.packed import packed

ACCENT = (0x8A, 0x3B, 0x12)
BLUR_PX, NOISE, LOOKS = 2.0, 10.0, 6
GTIN = "09506000134352"  # of the range that GS1 uses in its own examples


def ua_failures(pdf: bytes) -> list[Any]:
    return list(page_checker.validate_pdf_bytes(pdf, profile=page_checker.ValidationProfile.PDF_UA_1).failures)


def colours(pdf: bytes, page: int) -> set[tuple[int, ...]]:
    """The colours that a page is mostly made of, as poppler paints it."""
    command = ["pdftoppm", "-r", "100", "-f", str(page), "-l", str(page), "-"]
    picture = subprocess.run(command, input=pdf, capture_output=True, check=True).stdout
    counted = Image.open(io.BytesIO(picture)).convert("RGB").getcolors(1 << 24) or []
    return {colour for number, colour in counted if number >= 20}


def test_negative_control_the_checker_finds_a_file_without_structure() -> None:
    bare = io.BytesIO()
    writer = pypdf.PdfWriter()
    writer.add_blank_page(200, 200)
    writer.write(bare)
    assert ua_failures(bare.getvalue())


ALL = pytest.mark.parametrize("paper", FORMATS.values(), ids=FORMATS)
LANGUAGES = pytest.mark.parametrize("language", ["en", "sv", "fi"])


def words(pdf: bytes) -> str:
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages)
    return " ".join(text.replace("\N{NO-BREAK SPACE}", " ").split())


def decodes(shown: numpy.ndarray, address: str) -> None:
    """The one code on a page: the modules that segno draws, read by two decoders, and when it is hard to see."""
    (symbol,) = decoded_by_zxing(shown, whole=True)
    assert symbol.text == address
    assert symbol.ec_level == "M"
    assert (matrix_on(shown, symbol) == matrix_of_segno(symbol)).all()
    near = around(shown, symbol)
    assert decoded_by_opencv(near) == address
    # Out of focus and in poor light, as phones look, again and again; test_print_quality.py goes further.
    looks = [blurred_and_noisy(near, BLUR_PX, NOISE, seed) for seed in range(LOOKS)]
    assert [decoded_by_zxing(look) for look in looks] == [[address]] * LOOKS
    assert any(decoded_by_opencv(look) == address for look in looks)


def is_white_along_its_edges(shown: numpy.ndarray) -> bool:
    """A millimetre at 300 dpi, where a cut that is a little off would leave a line."""
    return all((band == 255).all() for band in (shown[:12], shown[-12:], shown[:, :12], shown[:, -12:]))


# ISO 216 halves A4 again and again, rounded down to whole millimetres.
@pytest.mark.parametrize(
    ("paper", "size_mm"),
    [(WALL_A4, (210, 297)), (LARGE_A5, (148, 210)), (INSERT_A6, (105, 148)), (CARD_A7, (74, 105))],
)
def test_sizes_are_those_of_iso_216(paper: Format, size_mm: tuple[int, int]) -> None:
    assert (paper.width_mm, paper.height_mm) == size_mm


@ALL
@LANGUAGES
def test_code_words_and_paper_are_right(bag: tuple[Lot, GuideVersion], paper: Format, language: str) -> None:
    lot, version = bag
    pdf = inserts_pdf(lot, [(version, language)], paper)
    found = read(pdf)
    assert len(found.sizes_mm) == len(paper.sides)
    for size in found.sizes_mm:
        assert size == pytest.approx((paper.width_mm, paper.height_mm), abs=0.1)
    assert all(font.embedded for font in found.fonts)
    code = lots.code_of(lot)
    address = str(address_on(paper, lot, code, version, language))
    of_guide = addresses.of_insert(code, version.guide.number, version.revision or 0, language)
    assert address == str(addresses.of_lot(code) if paper is STICKER_50X30 else of_guide)
    (symbol,) = found.symbols
    assert symbol.text == address
    assert symbol.module_mm >= 0.5 * 0.95
    shown = printed(pdf, symbol.page + 1)
    decodes(shown, address)
    assert is_white_along_its_edges(shown)
    text = words(pdf)
    assert "SAMPLE" not in text
    for expected in ("Mossgull Roasting Room", "L RW-078", f"{code[:4]} {code[4:]}"):
        assert expected in text
    # PDF/UA-1 (ISO 14289-1): no errors from this checker, which is all that it can say.
    assert [failure.message for failure in ua_failures(pdf)] == []
    painted = colours(pdf, page=1)
    assert painted >= {(0, 0, 0), (255, 255, 255)}
    assert (ACCENT in painted) == (paper is not STICKER_50X30)
    for figure in ("15 g", "180 g", "92 °C", "120 g"):
        assert (figure in text) == (paper is not STICKER_50X30)
    # The small card speaks to a novice, who owns no sieve.
    assert (f"{version.grind_um} " in text) == (paper not in (STICKER_50X30, CARD_A7))


def test_negative_control_a_format_with_a_bleed_is_coloured_to_its_head(bag: tuple[Lot, GuideVersion]) -> None:
    lot, version = bag
    assert not is_white_along_its_edges(printed(inserts_pdf(lot, [(version, "en")], WITH_BLEED["card-a7-bleed"]), 1))


@ALL
def test_a_digital_link_is_drawn_and_decoded_too(bag: tuple[Lot, GuideVersion], settings: Any, paper: Format) -> None:
    """On paper of the demo, which says that it is a sample beside the code and not over it."""
    settings.DEMO = True
    lot, version = bag
    Coffee.objects.filter(pk=lot.coffee_id).update(gtin=GTIN, prints_digital_link=True)
    pdf = inserts_pdf(Lot.objects.get(pk=lot.pk), [(version, "en")], paper)
    decodes(printed(pdf, read(pdf).symbols[0].page + 1), f"HTTP://GUIDES.TEST/01/{GTIN}/10/RW-078")
    assert "SAMPLE" in words(pdf)


@pytest.mark.parametrize("stock", STOCKS.values(), ids=STOCKS)
def test_stickers_lie_on_their_labels_from_the_first_that_is_left(bag: tuple[Lot, GuideVersion], stock: Stock) -> None:
    lot, version = bag
    found = read(run_pdf(Order(lot, version, "en", STICKER_50X30, copies=40, sheet=stock, skip=2)))
    # No slip: a sheet of labels is dear, and each says which lot it is of.
    assert [sum(symbol.page == page for symbol in found.symbols) for page in range(2)] == [34, 6]
    assert {symbol.text for symbol in found.symbols} == {str(addresses.of_lot(lots.code_of(lot)))}


def test_a_sticker_takes_the_longest_lot_name_and_names_what_it_cannot_take(
    bag: tuple[Lot, GuideVersion], roastery: Roastery
) -> None:
    _lot, version = bag
    longest, _version = packed(version, name="OUTER-MARK-ISLAND-20")
    assert "OUTER-MARK-ISLAND-20" in words(inserts_pdf(longest, [(version, "en")], STICKER_50X30)).replace("- ", "-")
    Roastery.objects.update(name="W" * 60)
    with pytest.raises(InsertRefused, match="Name of the roastery: too wide"):
        inserts_pdf(longest, [(version, "en")], STICKER_50X30)


def test_large_print_is_large(bag: tuple[Lot, GuideVersion]) -> None:
    """16 points and more for what is read while brewing: common practice for large print, no source."""
    lot, version = bag
    steps = [size for size, text in print_of(inserts_pdf(lot, [(version, "en")], LARGE_A5)) if "0:40" in text]
    assert steps
    assert min(steps) >= 16


@ALL
def test_a_format_has_a_sheet_that_holds_it(paper: Format) -> None:
    assert for_format(A4, paper) is not None
    assert (for_format(LETTER, paper) is None) == (paper is WALL_A4)
