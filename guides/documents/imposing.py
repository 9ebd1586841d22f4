"""Copies side by side on sheets: each distinct page is kept once in the file and only shown where it lies.

So a sheet costs a line of text per copy, and a thousand copies are hardly more work than one. The same input gives the
same bytes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from io import BytesIO
from itertools import islice

import pikepdf
from pikepdf import Dictionary

from guides.choices import Flip

from . import finished
from .marks import cut_marks, register_marks, ruler_place
from .sheets import Layout, Place

_POINT_PER_MM = 72 / 25.4
_TOLERANCE_MM = 0.1
RULER = "/Ruler"
# The matrix of a turn, and by how many widths and heights (as it lies) that moves the corner it turns around.
_TURNS = {0: ("1 0 0 1", 0, 0), 90: ("0 1 -1 0", 1, 0), 180: ("-1 0 0 -1", 1, 1), 270: ("0 -1 1 0", 0, 1)}


@dataclass(frozen=True)
class Copies:
    """So many copies of one printed thing. ``pages`` are its sides in the given file, the first page being 0."""

    pages: tuple[int, ...]
    count: int


def impose(
    pdf: bytes,
    wanted: Sequence[Copies],
    layout: Layout,
    *,
    flip: Flip = Flip.LONG,
    skip: int = 0,
    apart: bool = False,
    ruler: bytes | None = None,
) -> bytes:
    """Lay copies out on sheets, in the order given; the second side of a sheet follows its first.

    Args:
        pdf: a file with every distinct page once.
        wanted: what to lay out, all with the same number of sides, one or two.
        layout: the places on a sheet.
        flip: the edge along which the printer turns a sheet over.
        skip: places of the first sheet that are used up already.
        apart: whether each printed thing begins on a sheet of its own.
        ruler: a page that is shown in the lower margin of every front, where there is room.

    Returns:
        A PDF of upright sheets.

    Raises:
        ValueError: sides that differ or are not one or two, a page that is not of the layout's size, or more places
            skipped than a sheet has.
    """
    sides = _sides(wanted)
    if not 0 <= skip < layout.per_sheet:
        raise ValueError(f"A sheet has {layout.per_sheet} places, so the first {skip} cannot be used up.")
    with pikepdf.open(BytesIO(pdf)) as source, pikepdf.new() as sheets:
        forms = {f"/Page{page}": _form(source, page, sheets, layout) for copies in wanted for page in copies.pages}
        marks = [_marks(layout, side, sides) for side in range(sides)]
        ruled = _ruled(ruler, layout, sheets, forms)
        for cards in _sheetfuls(wanted, layout.per_sheet, skip, apart=apart):
            for side in range(sides):
                places = layout.fronts() if side == 0 else layout.backs(flip)
                shown = [
                    (place, f"/Page{card.pages[side]}") for place, card in zip(places, cards, strict=False) if card
                ]
                _add_sheet(sheets, layout, marks[side], [*shown, *(ruled if side == 0 else [])], forms)
        return finished.bytes_of(sheets)


def form_of(page: pikepdf.Page) -> pikepdf.Object:
    """Give a page, bleed and all, as something that can be shown in its own file."""
    page.trimbox = page.mediabox  # a form ends at its page's trim
    return page.as_form_xobject()


def _sides(wanted: Sequence[Copies]) -> int:
    sides = {len(copies.pages) for copies in wanted}
    if sides not in ({1}, {2}):
        raise ValueError(f"Copies have one side or two, all the same; these have {sorted(sides) or 'none'}.")
    return sides.pop()


def _sheetfuls(wanted: Sequence[Copies], per_sheet: int, skip: int, *, apart: bool) -> Iterator[list[Copies | None]]:
    """Deal the copies out to sheets; places that are used up stay empty."""
    gone: list[Copies | None] = [None] * skip
    for together in [[copies] for copies in wanted] if apart else [wanted]:
        cards = iter([*gone, *(copies for copies in together for _number in range(copies.count))])
        gone = []
        while sheetful := list(islice(cards, per_sheet)):
            yield sheetful


def _form(source: pikepdf.Pdf, number: int, sheets: pikepdf.Pdf, layout: Layout) -> pikepdf.Object:
    """Take a page over, bleed and all, as something that can be shown again and again."""
    page = source.pages[number]
    left, bottom, right, top = (float(edge) / _POINT_PER_MM for edge in page.trimbox)
    if max(abs(right - left - layout.width_mm), abs(top - bottom - layout.height_mm)) > _TOLERANCE_MM:
        raise ValueError(
            f"Page {number + 1} is {right - left:.1f} × {top - bottom:.1f} mm, and the sheet is laid out for "
            f"{layout.width_mm} × {layout.height_mm} mm."
        )
    return sheets.copy_foreign(form_of(page))


def _marks(layout: Layout, side: int, sides: int) -> str:
    return "\n".join([cut_marks(layout), register_marks(layout, side) if sides == 2 else ""])


def _ruled(
    ruler: bytes | None, layout: Layout, sheets: pikepdf.Pdf, forms: dict[str, pikepdf.Object]
) -> list[tuple[Place, str]]:
    """Take the ruler over, and say where it is shown."""
    place = ruler_place(layout)
    if ruler is None or place is None:
        return []
    with pikepdf.open(BytesIO(ruler)) as drawn:
        forms[RULER] = sheets.copy_foreign(form_of(drawn.pages[0]))
    return [(place, RULER)]


def _add_sheet(
    sheets: pikepdf.Pdf,
    layout: Layout,
    marks: str,
    shown: Sequence[tuple[Place, str]],
    forms: Mapping[str, pikepdf.Object],
) -> None:
    lines = [marks, *(_show(place, name) for place, name in shown)]
    sheets.add_blank_page(page_size=(layout.paper.width_mm * _POINT_PER_MM, layout.paper.height_mm * _POINT_PER_MM))
    page = sheets.pages[-1]
    page.Contents = sheets.make_stream("\n".join(lines).encode())
    page.Resources = Dictionary(XObject=Dictionary({name: forms[name] for _place, name in shown}))
    page.TrimBox = page.MediaBox


def _show(place: Place, name: str) -> str:
    turn, widths, heights = _TURNS[place.turned]
    across = (place.left_mm + widths * place.width_mm) * _POINT_PER_MM
    up = (place.bottom_mm + heights * place.height_mm) * _POINT_PER_MM
    return f"q {turn} {across:.4f} {up:.4f} cm {name} Do Q"
