"""How printed things lie on a sheet that is cut afterwards, as data. A new label stock is a new row here, no new code.

Sizes in millimetres: A4 from ISO 216; Letter is 8.5 × 11 in (ANSI/ASME Y14.1).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from guides.choices import Flip

from .formats import Format


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
    labels: they get no marks, and a sheet of which some are gone may be used up from a later place.
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


def fill(paper: SheetPaper, width_mm: float, height_mm: float, *, between_mm: float = 0.0) -> Layout | None:
    """Lay out as many copies as a sheet holds, upright or on their side, in the middle of it; ``None`` if not one fits.

    Args:
        paper: the sheet.
        width_mm: of a copy.
        height_mm: of a copy.
        between_mm: kept free between copies and around them, for bleed; 0 where copies share their cuts.
    """
    upright = _grid(paper, width_mm, height_mm, between_mm, turned=False)
    lying = _grid(paper, width_mm, height_mm, between_mm, turned=True)
    best = lying if lying.per_sheet > upright.per_sheet else upright
    return best if best.per_sheet else None


def for_format(paper: SheetPaper, item: Format) -> Layout | None:
    """Lay out a format on a sheet; its white margins hold the marks, so that copies may share their cuts."""
    return fill(paper, item.width_mm, item.height_mm)


def _grid(paper: SheetPaper, width_mm: float, height_mm: float, between_mm: float, *, turned: bool) -> Layout:
    wide, high = (height_mm, width_mm) if turned else (width_mm, height_mm)
    columns, rows = _count(paper.width_mm, wide, between_mm), _count(paper.height_mm, high, between_mm)
    return Layout(
        paper=paper,
        width_mm=width_mm,
        height_mm=height_mm,
        columns=columns,
        rows=rows,
        left_mm=_border(paper.width_mm, columns, wide, between_mm),
        top_mm=_border(paper.height_mm, rows, high, between_mm),
        gutter_x_mm=between_mm,
        gutter_y_mm=between_mm,
        turned=turned,
    )


def _count(room_mm: float, size_mm: float, between_mm: float) -> int:
    return int((room_mm - between_mm + 1e-6) // (size_mm + between_mm))


def _border(room_mm: float, count: int, size_mm: float, between_mm: float) -> float:
    return (room_mm - count * size_mm - (count - 1) * between_mm) / 2 if count else 0.0
