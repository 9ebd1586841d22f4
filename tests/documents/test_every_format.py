"""Every format in every language of a guide, read back: its paper, its words and its code."""

from __future__ import annotations

import io

import pypdf
import pytest

from guides.documents.formats import CARD_A7, FORMATS, INSERT_A6, LARGE_A5, WALL_A4, Format
from guides.documents.insert import inserts_pdf
from guides.documents.read_back import read
from guides.documents.sheets import A4, LETTER, for_format
from guides.models import GuideVersion, Lot
from guides.presenters import addresses
from guides.queries import lots
from tests.documents.printing import decoded_by_opencv, decoded_by_zxing, print_of, printed

ALL = pytest.mark.parametrize("paper", FORMATS.values(), ids=FORMATS)
LANGUAGES = pytest.mark.parametrize("language", ["en", "sv"])


def words(pdf: bytes) -> str:
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages)
    return " ".join(text.replace("\N{NO-BREAK SPACE}", " ").split())


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
    address = str(addresses.of_insert(code, version.guide.number, version.revision or 0, language))
    (symbol,) = found.symbols
    assert symbol.text == address
    assert symbol.module_mm >= 0.5 * 0.95
    page = printed(pdf, symbol.page + 1)
    assert decoded_by_zxing(page) == [decoded_by_opencv(page)] == [address]
    text = words(pdf)
    for expected in ("Mossgull Roasting Room", "L RW-078", "15 g", "180 g", "92 °C", "120 g", f"{code[:4]} {code[4:]}"):
        assert expected in text


def test_the_small_card_speaks_to_a_novice(bag: tuple[Lot, GuideVersion]) -> None:
    lot, version = bag
    size = f"{version.grind_um} "
    assert size not in words(inserts_pdf(lot, [(version, "en")], CARD_A7))
    assert size in words(inserts_pdf(lot, [(version, "en")], INSERT_A6))


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
