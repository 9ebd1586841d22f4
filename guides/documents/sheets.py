"""How printed things lie on a sheet that is cut afterwards, as data. A new label stock is a new row here, no new code.

Sizes in millimetres: A4 from ISO 216; Letter is 8.5 × 11 in (ANSI/ASME Y14.1).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from guides.choices import Flip

from .formats import Format

_STOCK_TOLERANCE_MM: Final = 0.5


@dataclass(frozen=True)
class SheetPaper:
    """A sheet as it goes into the printer, upright."""

    key: str
    width_mm: float
    height_mm: float


A4: Final = SheetPaper("a4", 210.0, 297.0)
LETTER: Final = SheetPaper("letter", 215.9, 279.4)
PAPERS: Final = {paper.key: paper for paper in (A4, LETTER)}


@dataclass(frozen=True)
class Place:
    """Where one copy lies: its lower left corner from the lower left of the sheet in mm, and how far it is turned.

    ``turned`` is in degrees counter-clockwise, a multiple of 90; width and height are as it lies.
    """

    left_mm: float
    bottom_mm: float
    width_mm: float
    height_mm: float
    turned: int


@dataclass(frozen=True)
class Layout:
    """Columns and rows of one format on a sheet. Margins and gutters in mm; the grid's upper left corner comes first.

    ``turned`` lays every copy on its side, counter-clockwise. ``stock`` marks sheets that are cut already, such as
    labels: they get no marks, and a sheet of which some are gone may be used up from a later place. ``bleed_mm`` is how
    far copies reach over their cuts, into the gutters and margins.
    """

    paper: SheetPaper
    width_mm: float
    height_mm: float
    columns: int
    rows: int
    left_mm: float
    top_mm: float
    gutter_x_mm: float = 0.0
    gutter_y_mm: float = 0.0
    turned: bool = False
    stock: bool = False
    bleed_mm: float = 0.0

    @property
    def per_sheet(self) -> int:
        return self.columns * self.rows

    @property
    def cell_mm(self) -> tuple[float, float]:
        """Width and height of a copy as it lies."""
        return (self.height_mm, self.width_mm) if self.turned else (self.width_mm, self.height_mm)

    def fronts(self) -> Iterator[Place]:
        """Give the places of a sheet's first side, row by row from the upper left."""
        width, height = self.cell_mm
        for row in range(self.rows):
            for column in range(self.columns):
                yield Place(
                    left_mm=self.left_mm + column * (width + self.gutter_x_mm),
                    bottom_mm=self.paper.height_mm - self.top_mm - height - row * (height + self.gutter_y_mm),
                    width_mm=width,
                    height_mm=height,
                    turned=90 if self.turned else 0,
                )

    def backs(self, flip: Flip) -> Iterator[Place]:
        """Give the places of the second side: each behind the front of its number once the sheet is turned over."""
        for front in self.fronts():
            if flip is Flip.LONG:
                left, bottom = self.paper.width_mm - front.left_mm - front.width_mm, front.bottom_mm
                turned = -front.turned % 360
            else:
                left, bottom = front.left_mm, self.paper.height_mm - front.bottom_mm - front.height_mm
                turned = (180 - front.turned) % 360
            yield Place(left, bottom, front.width_mm, front.height_mm, turned)


@dataclass(frozen=True)
class Stock:
    """Sheets that are cut already, such as labels, under the name they have in the packing room."""

    key: str
    layout: Layout
    name: str | Promise = field(default="", repr=False)

    def holds(self, item: Format) -> bool:
        """Say whether a format is what its labels are the size of."""
        off = (item.width_mm - self.layout.width_mm, item.height_mm - self.layout.height_mm)
        return max(map(abs, off)) <= _STOCK_TOLERANCE_MM and len(item.sides) == 1 and not item.bleed_mm


# As many as fit without gaps, in the middle: common practice, no source. Other stock is added at the desk.
LABELS_A4: Final = Stock(
    key="labels-50x30-a4",
    layout=Layout(A4, 50.0, 30.0, columns=4, rows=9, left_mm=5.0, top_mm=13.5, stock=True),
    name=_("36 labels 50 × 30 mm on A4"),
)
LABELS_LETTER: Final = Stock(
    key="labels-50x30-letter",
    layout=Layout(LETTER, 50.0, 30.0, columns=4, rows=9, left_mm=7.95, top_mm=4.7, stock=True),
    name=_("36 labels 50 × 30 mm on Letter"),
)
STOCKS: Final = {stock.key: stock for stock in (LABELS_A4, LABELS_LETTER)}


def fill(paper: SheetPaper, width_mm: float, height_mm: float, *, bleed_mm: float = 0.0) -> Layout | None:
    """Lay out as many copies as a sheet holds, upright or on their side, in the middle of it; ``None`` if not one fits.

    Args:
        paper: the sheet.
        width_mm: of a copy.
        height_mm: of a copy.
        bleed_mm: how far each copy reaches over its cuts; 0 where copies share them.
    """
    upright = _grid(paper, width_mm, height_mm, bleed_mm, turned=False)
    lying = _grid(paper, width_mm, height_mm, bleed_mm, turned=True)
    best = lying if lying.per_sheet > upright.per_sheet else upright
    return best if best.per_sheet else None


def for_format(paper: SheetPaper, item: Format) -> Layout | None:
    """Lay out a format on a sheet; its white margins hold the marks, so that copies may share their cuts."""
    return fill(paper, item.width_mm, item.height_mm, bleed_mm=item.bleed_mm)


def own_size(item: Format) -> Layout:
    """Lay out a format on paper of its own size: one copy, nothing to cut but its bleed."""
    bleed = item.bleed_mm
    paper = SheetPaper("own", item.width_mm + 2 * bleed, item.height_mm + 2 * bleed)
    return Layout(
        paper, item.width_mm, item.height_mm, columns=1, rows=1, left_mm=bleed, top_mm=bleed, stock=True, bleed_mm=bleed
    )


def _grid(paper: SheetPaper, width_mm: float, height_mm: float, bleed_mm: float, *, turned: bool) -> Layout:
    wide, high = (height_mm, width_mm) if turned else (width_mm, height_mm)
    gutter = 2 * bleed_mm
    columns, rows = _count(paper.width_mm, wide, gutter), _count(paper.height_mm, high, gutter)
    return Layout(
        paper=paper,
        width_mm=width_mm,
        height_mm=height_mm,
        columns=columns,
        rows=rows,
        left_mm=_border(paper.width_mm, columns, wide, gutter),
        top_mm=_border(paper.height_mm, rows, high, gutter),
        gutter_x_mm=gutter,
        gutter_y_mm=gutter,
        turned=turned,
        bleed_mm=bleed_mm,
    )


def _count(room_mm: float, size_mm: float, gutter_mm: float) -> int:
    """How many fit with half a gutter, the bleed, outside the outermost."""
    return int((room_mm + 1e-6) // (size_mm + gutter_mm))


def _border(room_mm: float, count: int, size_mm: float, gutter_mm: float) -> float:
    return (room_mm - count * size_mm - (count - 1) * gutter_mm) / 2 if count else 0.0
