"""Sheets read back: where each copy's words and codes lie, what is repeated, and what a printer is given twice."""

from __future__ import annotations

import re
import subprocess
from io import BytesIO

import pikepdf
import pypdfium2
import pytest

from guides.choices import Flip
from guides.codes import qr
from guides.documents import read_back
from guides.documents.imposing import Copies, impose
from guides.documents.sheets import A4, LETTER, Layout, SheetPaper, fill

MM = 72 / 25.4
CODE = "HTTP://GUIDES.TEST/L/7Z0KQ4XD/2.1.EN"
CARD = (105.0, 148.0)


@pytest.fixture(scope="module")
def cards() -> bytes:
    """Two cards of two sides: a word near the head of each side and a symbol on the fronts."""
    weasyprint = pytest.importorskip("weasyprint")
    symbol = qr.symbol(CODE).svg("code")
    sides = "".join(
        f"<section><p>{side}{card}</p>{f'<div>{symbol}</div>' if side == 'front' else ''}</section>"
        for card in "AB"
        for side in ("front", "back")
    )
    style = (
        "@page{size:105mm 148mm;margin:6mm}section{break-after:page}section:last-child{break-after:auto}p{margin:0}"
        "div,svg{width:28mm;height:28mm}"
    )
    return weasyprint.HTML(string=f"<style>{style}</style>{sides}").write_pdf()


def layout(paper: SheetPaper = A4) -> Layout:
    found = fill(paper, *CARD)
    assert found is not None
    return found


def words(pdf: bytes) -> list[list[tuple[str, float, float]]]:
    """For every page its words as poppler finds them, with the middle of each in mm from the upper left."""
    found = subprocess.run(["pdftotext", "-bbox", "-", "-"], input=pdf, capture_output=True, check=True).stdout.decode()
    pages = []
    for page in found.split("<page ")[1:]:
        boxes = re.findall(r'xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">(\w+)<', page)
        pages.append([(word, _middle(left, right), _middle(top, bottom)) for left, top, right, bottom, word in boxes])
    return pages


def _middle(low: str, high: str) -> float:
    return (float(low) + float(high)) / 2 / MM


def test_copies_lie_side_by_side_and_their_backs_behind_them(cards: bytes) -> None:
    front, back = words(impose(cards, [Copies((0, 1), 3), Copies((2, 3), 1)], layout()))
    assert [word for word, _x, _y in front] == ["frontA", "frontA", "frontA", "frontB"]
    assert sorted(word for word, _x, _y in back) == ["backA", "backA", "backA", "backB"]
    # The fourth card lies lower right; turned over along the long edge, its back is lower left, as far from its edge.
    ((x, y),) = [(x, y) for word, x, y in front if word == "frontB"]
    ((back_x, back_y),) = [(x, y) for word, x, y in back if word == "backB"]
    assert 105 + 6 < x < 105 + 20
    assert 6 < back_x < 20
    assert y == pytest.approx(back_y, abs=0.5)
    assert 0.5 + 148 + 6 < y < 0.5 + 148 + 20


def test_turned_along_the_short_edge_backs_stand_on_their_heads(cards: bytes) -> None:
    front, back = words(impose(cards, [Copies((0, 1), 1)], layout(), flip=Flip.SHORT))
    ((_word, x, y),) = front
    ((_word, back_x, back_y),) = back
    assert 6 < x < 20
    # Its head is below now, so the first word stands at the lower right corner of the same column.
    assert 105 - 20 < back_x < 105 - 6
    assert back_y == pytest.approx(297 - y, abs=3)  # poppler's boxes reach further above a line than below it


def test_every_copy_can_be_scanned_where_it_lies(cards: bytes) -> None:
    found = read_back.read(impose(cards, [Copies((0,), 9)], layout()))
    assert [symbol.text for symbol in found.symbols] == [CODE] * 9
    assert [symbol.page for symbol in found.symbols] == [0] * 4 + [1] * 4 + [2]
    assert found.sizes_mm == tuple([pytest.approx((210, 297), abs=0.1)] * 3)


def test_cards_lying_on_their_side_can_be_scanned_too() -> None:
    weasyprint = pytest.importorskip("weasyprint")
    style = "@page{size:74mm 105mm;margin:5mm}svg{width:28mm;height:28mm}"
    card = weasyprint.HTML(string=f"<style>{style}</style>{qr.symbol(CODE).svg('code')}").write_pdf()
    lying = fill(LETTER, 74, 105)
    assert lying is not None
    assert lying.turned
    assert len(read_back.read(impose(card, [Copies((0,), 6)], lying)).symbols) == 6


def test_places_of_a_sheet_that_are_used_up_stay_empty(cards: bytes) -> None:
    front, back, second, _second_back = words(impose(cards, [Copies((0, 1), 3)], layout(), skip=3))
    assert len(front) == len(back) == 1
    assert front[0][1] > 105
    assert len(second) == 2


def test_a_page_is_kept_once_however_often_it_is_shown(cards: bytes) -> None:
    few, many = (impose(cards, [Copies((0, 1), count)], layout()) for count in (4, 400))
    with pikepdf.open(BytesIO(many)) as pdf:
        forms = [item for item in pdf.objects if isinstance(item, pikepdf.Stream) and item.get("/Subtype") == "/Form"]
        assert len(pdf.pages) == 200
        assert len(forms) == 2
        assert pdf.check_pdf_syntax() == []
    assert len(many) < len(few) + 198 * 600


def test_the_same_sheets_are_the_same_bytes(cards: bytes) -> None:
    assert impose(cards, [Copies((0, 1), 7)], layout()) == impose(cards, [Copies((0, 1), 7)], layout())


def test_marks_stand_where_copies_meet_and_labels_have_none(cards: bytes) -> None:
    plain = layout()
    stock = Layout(A4, *CARD, columns=2, rows=2, left_mm=0, top_mm=0.5, stock=True)
    dark = [middle(impose(cards, [Copies((0, 1), 1)], each)) for each in (plain, stock)]
    assert dark[0] < 128 < dark[1]


def middle(pdf: bytes) -> int:
    """The darkest dot around the middle of the first sheet, where four copies meet."""
    picture = pypdfium2.PdfDocument(pdf)[0].render(scale=300 / 72, grayscale=True).to_pil()
    x, y = picture.width // 2, round((0.5 + 148) / 297 * picture.height)
    return min(picture.crop((x - 4, y - 4, x + 5, y + 5)).tobytes())


@pytest.mark.parametrize(
    ("wanted", "options", "said"),
    [
        ([], {}, "one side or two"),
        ([Copies((0, 1), 1), Copies((2,), 1)], {}, "one side or two"),
        ([Copies((0, 1, 2), 1)], {}, "one side or two"),
        ([Copies((0, 1), 1)], {"skip": 4}, "4 places"),
        ([Copies((0, 1), 1)], {"skip": -1}, "4 places"),
    ],
)
def test_what_cannot_be_laid_out_is_refused(cards: bytes, wanted, options, said) -> None:
    with pytest.raises(ValueError, match=said):
        impose(cards, wanted, layout(), **options)


def test_a_page_of_another_size_is_refused(cards: bytes) -> None:
    other = fill(A4, 74, 105)
    assert other is not None
    with pytest.raises(ValueError, match=r"Page 1 is 105\.0 × 148\.0 mm"):
        impose(cards, [Copies((0, 1), 1)], other)
