"""What a sheet has around its copies: a coloured edge over the cuts, and a ruler of the length it says."""

from __future__ import annotations

import io
import subprocess

import numpy
import pikepdf
import pypdf
import pytest
from PIL import Image

from guides.documents import choices
from guides.documents.formats import CARD_A7, INSERT_A6, WITH_BLEED, Format
from guides.documents.insert import inserts_pdf
from guides.documents.marks import ruler_place
from guides.documents.packing import Order, run_pdf
from guides.documents.sheets import A4, LETTER, Layout, SheetPaper, for_format
from guides.models import GuideVersion, Lot
from tests.documents.test_every_format import ua_failures

Bag = tuple[Lot, GuideVersion]
DPI, MM = 200, 72 / 25.4
ACCENT = (0x8A, 0x3B, 0x12)


def painted(pdf: bytes, page: int) -> numpy.ndarray:
    """A page in colour, its first row the lowest."""
    command = ["pdftoppm", "-r", str(DPI), "-f", str(page), "-l", str(page), "-"]
    picture = subprocess.run(command, input=pdf, capture_output=True, check=True).stdout
    return numpy.array(Image.open(io.BytesIO(picture)).convert("RGB"))[::-1].astype(int)


def dots(mm: float) -> int:
    return round(mm / 25.4 * DPI)


def laid(paper: Format, on: SheetPaper) -> Layout:
    found = for_format(on, paper)
    assert found is not None
    return found


@pytest.mark.parametrize("paper", WITH_BLEED.values(), ids=WITH_BLEED)
def test_a_coloured_edge_runs_3_mm_over_the_cut(bag: Bag, paper: Format) -> None:
    assert choices.format_of(paper.key) == choices.formats()[paper.key] == paper
    layout = laid(paper, A4)
    pdf = run_pdf(Order(*bag, "en", paper, copies=1, sheet=A4))
    lot, version = bag
    assert ua_failures(inserts_pdf(lot, [(version, "en")], paper)) == []
    covered = 1 + len(paper.sides)
    with pikepdf.open(io.BytesIO(pdf)) as sheets:
        assert [float(edge) / MM for edge in sheets.pages[-1].trimbox] == pytest.approx([0, 0, 210, 297], abs=0.1)
    sheet = painted(pdf, covered if len(paper.sides) == 1 else 3)
    first = next(layout.fronts())
    # Its head is to the left where it lies on its side. From the cut outwards there are 3 mm of colour, then white.
    left, middle = first.left_mm, first.bottom_mm + first.height_mm / 2
    head = first.bottom_mm + first.height_mm
    spots = (0.5, 2.5, 3.6)
    seen = [
        tuple(sheet[dots(middle), dots(left - out)])
        if layout.turned
        else tuple(sheet[dots(head + out), dots(left + 30)])
        for out in spots
    ]
    assert seen == [ACCENT, ACCENT, (255, 255, 255)]


@pytest.mark.parametrize(("paper", "on"), [(INSERT_A6, LETTER), (CARD_A7, LETTER)], ids=["two sides", "one side"])
def test_the_ruler_of_a_sheet_is_as_long_as_it_says(bag: Bag, paper: Format, on: SheetPaper) -> None:
    place = ruler_place(laid(paper, on))
    assert place is not None
    pdf = run_pdf(Order(*bag, "en", paper, copies=1, sheet=on))
    pages = [page.extract_text().replace("\N{NO-BREAK SPACE}", " ") for page in pypdf.PdfReader(io.BytesIO(pdf)).pages]
    front = len(paper.sides)  # behind the slip and its empty back
    assert ["80 mm when printed at 100 %" in page for page in pages] == [
        number == front for number in range(len(pages))
    ]
    box = painted(pdf, front + 1)[dots(place.bottom_mm) : dots(place.bottom_mm + 7), : dots(place.left_mm + 82), 0]
    line = numpy.flatnonzero(box[(box < 128).sum(1).argmax()] < 128)
    assert (line[-1] - line[0]) / DPI * 25.4 == pytest.approx(80, abs=0.3)


def test_where_copies_fill_the_sheet_the_ruler_is_on_the_slip() -> None:
    assert ruler_place(laid(INSERT_A6, A4)) is None
