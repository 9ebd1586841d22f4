"""Sheets that test a printer: their two sides, laid on each other as the printer turns them, agree."""

from __future__ import annotations

import numpy
import pytest

from guides.choices import Flip
from guides.documents import test_sheets
from guides.documents.read_back import read
from guides.documents.sheets import A4, LABELS_A4, LETTER, SheetPaper
from tests.documents.printing import printed

DPI = 120


def seen_through(back: numpy.ndarray, flip: Flip) -> numpy.ndarray:
    return back[:, ::-1] if flip is Flip.LONG else back[::-1, :]


@pytest.mark.parametrize("paper", [A4, LETTER], ids=lambda paper: paper.key)
@pytest.mark.parametrize("flip", Flip)
def test_rings_lie_within_rings_and_arrows_on_one_another(paper: SheetPaper, flip: Flip) -> None:
    pdf = test_sheets.register_pdf(paper, flip, "en")
    assert read(pdf).sizes_mm == tuple([pytest.approx((paper.width_mm, paper.height_mm), abs=0.1)] * 2)
    front, back = printed(pdf, 1, DPI), seen_through(printed(pdf, 2, DPI), flip)
    # The arrow, 12 to 19 mm below the upper edge in the middle, is the only large black thing on either side.
    assert arrow(front).mean() > 0.3
    assert (arrow(front) ^ arrow(back)).mean() < 0.1
    other = Flip.SHORT if flip is Flip.LONG else Flip.LONG
    wrong = seen_through(printed(pdf, 2, DPI), other)
    assert arrow(wrong).mean() < 0.05, "turned over along the other edge, the arrow is elsewhere"


def arrow(picture: numpy.ndarray) -> numpy.ndarray:
    middle = picture.shape[1] // 2
    top, bottom, half = (round(mm / 25.4 * DPI) for mm in (12, 19, 4))
    return picture[top:bottom, middle - half : middle + half] < 128


def test_outlines_lie_where_labels_do() -> None:
    pdf = test_sheets.outlines_pdf(LABELS_A4, "en")
    picture = printed(pdf, 1, 200)
    # The first of 4 by 9 labels of 50 by 30 mm in the middle of A4: 5 mm from the left, 13.5 from above.
    column = picture[:, round((5 + 25) / 25.4 * 200) - 20]
    lines = [row / 200 * 25.4 for row in numpy.flatnonzero((column < 160) & (numpy.roll(column, 1) >= 160))]
    assert lines == pytest.approx([13.5 + 30 * row for row in range(10)], abs=0.3)
