"""Sheets that are printed before anything is packed: do both sides lie behind each other, do labels lie where we think?

Both go on plain paper and are held against the light. A sheet for two sides has rings with a scale of millimetres at
its corners and in its middle: on the second side they are larger, so that a printer that shifts shows by how much. Its
arrow points to the same edge on both sides if the sheet was turned over along the edge it names.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, Final

from django.template.loader import render_to_string
from django.utils.html import escape
from django.utils.translation import gettext, override

from guides.choices import Flip

from . import compose
from .render import Draft
from .sheets import SheetPaper, Stock
from .typefaces import STACK, scripts_of

_INSET_MM: Final = 25.0
_RINGS_MM: Final = (4.0, 5.0)  # radii in front and behind
_ARM_MM: Final = 12
_LINE: Final = 'fill="none" stroke="#000" stroke-width="0.2"'
_RULER_MM: Final = 100


def register_pdf(paper: SheetPaper, flip: Flip, language: str) -> bytes:
    """Give the test of a two-sided printer: two pages.

    Args:
        paper: the sheet.
        flip: the edge along which the printer turns it over.
        language: of its words.
    """
    with override(language):
        edge = Flip(flip).label
        first = [
            gettext("Test of two sides: front"),
            gettext("Print this on both sides at 100 %%, turned over along %(edge)s.") % {"edge": edge},
            gettext("Hold it against the light: each ring lies within its ring, and both arrows point the same way."),
            gettext("A tick is 1 mm. If the arrows differ, choose the other edge; if rings are off, move the print."),
            gettext("Each scale beside the edges is %(length)d mm long.") % {"length": _RULER_MM},
        ]
        second = [gettext("Test of two sides: back, turned over along %(edge)s") % {"edge": edge}]
        sides = [_register(paper, first, _RINGS_MM[0]), _register(paper, second, _RINGS_MM[1])]
        if flip is Flip.SHORT:
            sides[1] = _turned(paper, sides[1])
        return _painted(paper, gettext("Test of two sides"), sides, language)


def outlines_pdf(stock: Stock, language: str) -> bytes:
    """Give the outlines of label stock, numbered as places are counted.

    Args:
        stock: where its labels lie.
        language: of its words.
    """
    paper = stock.layout.paper
    with override(language):
        title = str(stock.name)
        return _painted(paper, title, ["".join(_outlines(stock))], language)


def _register(paper: SheetPaper, lines: Iterable[str], radius: float) -> str:
    wide, high = paper.width_mm, paper.height_mm
    spots = [(x, y) for x in (_INSET_MM, wide - _INSET_MM) for y in (_INSET_MM, high - _INSET_MM)]
    middle = wide / 2
    arrow = f'<path d="M{middle} 12l-4 7h8z" fill="#000"/>'
    scales = f"M{middle - _RULER_MM / 2} 35h{_RULER_MM}{_ticks(middle - _RULER_MM / 2, 35, across=True)}"
    scales += f"M15 {high / 2 - _RULER_MM / 2}v{_RULER_MM}{_ticks(15, high / 2 - _RULER_MM / 2, across=False)}"
    rings = "".join(_ring(x, y, radius) for x, y in [*spots, (middle, high / 2)])
    return f'{arrow}{rings}<path {_LINE} d="{scales}"/>{_words(lines, middle, high / 2 - 75)}'


def _ring(x: float, y: float, radius: float) -> str:
    arms = f"M{x - _ARM_MM} {y}h{2 * _ARM_MM}M{x} {y - _ARM_MM}v{2 * _ARM_MM}"
    ticks = "".join(
        f"M{x + place} {y - 0.7}v1.4M{x - 0.7} {y + place}h1.4" for place in range(-_ARM_MM, _ARM_MM + 1) if place
    )
    return f'<circle {_LINE} cx="{x}" cy="{y}" r="{radius}"/><path {_LINE} d="{arms}{ticks}"/>'


def _ticks(x: float, y: float, *, across: bool) -> str:
    places = range(0, _RULER_MM + 1, 10)
    return "".join(f"M{x + at} {y - 1.5}v3" if across else f"M{x - 1.5} {y + at}h3" for at in places)


def _words(lines: Iterable[str], x: float, y: float) -> str:
    return "".join(
        f'<text x="{x}" y="{y + 6 * number}" font-size="{4.4 if number == 0 else 3.4}" text-anchor="middle">'
        f"{escape(line)}</text>"
        for number, line in enumerate(lines)
    )


def _turned(paper: SheetPaper, drawing: str) -> str:
    """Upside down: what was the lower edge in front is printed first behind."""
    return f'<g transform="rotate(180 {paper.width_mm / 2} {paper.height_mm / 2})">{drawing}</g>'


def _outlines(stock: Stock) -> Iterator[str]:
    for number, place in enumerate(stock.layout.fronts(), start=1):
        top = stock.layout.paper.height_mm - place.bottom_mm - place.height_mm
        box = f'x="{place.left_mm}" y="{top}" width="{place.width_mm}" height="{place.height_mm}"'
        yield f"<rect {_LINE} {box}/>"
        yield _words([str(number)], place.left_mm + place.width_mm / 2, top + place.height_mm / 2 + 1.5)


def _painted(paper: SheetPaper, title: str, sides: Iterable[str], language: str) -> bytes:
    box = f'viewBox="0 0 {paper.width_mm} {paper.height_mm}"'
    drawings: list[Any] = [
        compose.drawn(
            f'<svg xmlns="http://www.w3.org/2000/svg" role="img" font-family="{STACK}" {box}>'
            f"<title>{escape(title)}</title>{side}</svg>"
        )
        for side in sides
    ]
    html = render_to_string(
        "guides/documents/test_sheet.html", {"language": language, "title": title, "drawings": drawings}
    )
    size = f"{paper.width_mm}mm {paper.height_mm}mm"
    rules = f"@page{{size:{size};margin:0}}body{{margin:0}}svg{{display:block;width:{paper.width_mm}mm}}"
    styles = ("css/tokens.css", *(script.sheet for script in scripts_of(html)))
    return Draft(html, styles).lay_out(f"{rules}.side+.side{{break-before:page}}").pdf()
