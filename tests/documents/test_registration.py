"""Two-sided sheets of every format, read back: each back lies behind its front, and marks lie on marks."""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO

import numpy
import pikepdf
import pytest

from guides.choices import Flip
from guides.documents.formats import FORMATS, WITH_BLEED, Format
from guides.documents.imposing import Copies, impose
from guides.documents.sheets import A4, LETTER, Layout, SheetPaper, for_format

MM = 72 / 25.4
TWO_SIDED = {key: paper for key, paper in {**FORMATS, **WITH_BLEED}.items() if len(paper.sides) == 2}
Box = tuple[float, float, float, float]
# Four inserts fill A4 and two large prints do, so that crosses where copies meet are all there is room for.
FULL = {("insert-a6", "a4"), ("large-a5", "a4")}


@dataclass
class Side:
    """What lies on one side of a sheet, in mm from its lower left corner."""

    copies: list[Box]
    lines: list[Box]
    rings: list[Box]

    def seen_through(self, paper: SheetPaper, flip: Flip) -> Side:
        """The same as it lies behind the other side."""

        def turned(box: Box) -> Box:
            left, low, right, high = box
            if flip is Flip.LONG:
                return paper.width_mm - right, low, paper.width_mm - left, high
            return left, paper.height_mm - high, right, paper.height_mm - low

        return Side(*([turned(box) for box in boxes] for boxes in (self.copies, self.lines, self.rings)))


def hull(points: list[tuple[float, float]]) -> Box:
    across, up = zip(*points, strict=True)
    return min(across) / MM, min(up) / MM, max(across) / MM, max(up) / MM


def same(some: list[Box], others: list[Box]) -> bool:
    """Whether boxes lie where others do, to a twentieth of a millimetre and in whatever order."""
    apart = numpy.abs(numpy.array(some)[:, None] - numpy.array(others)[None]).max(2) < 0.05
    return len(some) == len(others) and bool(apart.any(0).all() and apart.any(1).all())


def side(page: pikepdf.Page) -> Side:
    """Follow what is drawn: forms where they are shown, lines and rings."""
    found, matrix, path, curves = Side([], [], []), pikepdf.Matrix(), [], []
    for operands, operator in pikepdf.parse_content_stream(page):
        numbers = [float(number) for number in operands if not isinstance(number, pikepdf.Name)]
        match str(operator):
            case "cm":
                matrix = pikepdf.Matrix(*numbers)
            case "Do":
                form = page.Resources.XObject[operands[0]]
                left, low, right, high = (float(edge) for edge in form.BBox)
                corners = [matrix.transform(corner) for corner in ((left, low), (right, high))]
                found.copies.append(hull(corners))
            case "m":
                path, curves = [(numbers[0], numbers[1])], []
            case "l":
                found.lines.append(hull([*path, (numbers[0], numbers[1])]))
            case "c":
                curves.append((numbers[4], numbers[5]))
                if len(curves) == 4:
                    found.rings.append(hull(curves))
    return found


def sheet(paper: Format, layout: Layout, flip: Flip, copies: int) -> list[Side]:
    """Lay empty sides of a format's size on one sheet and read it back."""
    with pikepdf.new() as blank:
        bleed = paper.bleed_mm * MM
        width, height = paper.width_mm * MM, paper.height_mm * MM
        for _side in paper.sides:
            page = blank.add_blank_page(page_size=(width, height))
            page.mediabox = pikepdf.Array([-bleed, -bleed, width + bleed, height + bleed])
            page.trimbox = pikepdf.Array([0, 0, width, height])
        file = BytesIO()
        blank.save(file)
    with pikepdf.open(BytesIO(impose(file.getvalue(), [Copies((0, 1), copies)], layout, flip=flip))) as pdf:
        assert len(pdf.pages) == 2
        return [side(page) for page in pdf.pages]


@pytest.mark.parametrize("flip", Flip)
@pytest.mark.parametrize("on", [A4, LETTER], ids=lambda on: on.key)
@pytest.mark.parametrize("paper", TWO_SIDED.values(), ids=TWO_SIDED)
def test_backs_lie_behind_their_fronts_and_marks_on_marks(paper: Format, on: SheetPaper, flip: Flip) -> None:
    layout = for_format(on, paper)
    assert layout is not None
    # One place stays empty where there are several: a whole sheet would look right the wrong way round, too.
    copies = max(layout.per_sheet - 1, 1)
    front, back = sheet(paper, layout, flip, copies)
    behind = back.seen_through(on, flip)
    assert len(front.copies) == copies
    assert same(behind.copies, front.copies)
    bleed = 2 * paper.bleed_mm
    for left, low, right, high in front.copies:
        size = sorted([right - left, high - low])
        assert size == pytest.approx([paper.width_mm + bleed, paper.height_mm + bleed], abs=0.05)
    assert same(behind.lines, front.lines)
    # Marks for cutting stand on the cuts, in white margins, and outside where colour runs over them.
    assert any(overlap(line, copy) for line in front.lines for copy in front.copies) == (not paper.bleed_mm)
    assert len(front.rings) == len(back.rings) == (0 if (paper.key, on.key) in FULL else 2)
    for ring in front.rings:
        assert not any(overlap(ring, copy) for copy in front.copies)
        # Held against the light, it lies in the middle of the one behind it.
        (around,) = [other for other in behind.rings if overlap(ring, other)]
        inset = [mine - theirs for mine, theirs in zip(ring, around, strict=True)]
        assert inset == pytest.approx([1, 1, -1, -1], abs=0.05)


def overlap(one: Box, other: Box) -> bool:
    low, high = numpy.maximum(one[:2], other[:2]), numpy.minimum(one[2:], other[2:])
    return bool((high - low > -0.05).all())


def test_negative_control_backs_laid_like_fronts_lie_elsewhere(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Layout, "backs", lambda self, flip: self.fronts())
    layout = for_format(A4, FORMATS["insert-a6"])
    assert layout is not None
    front, back = sheet(FORMATS["insert-a6"], layout, Flip.LONG, 3)
    assert not same(back.seen_through(A4, Flip.LONG).copies, front.copies)
