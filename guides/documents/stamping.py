"""One guide for many lots: what they share is laid out once, and each lot's words and code are stamped on it.

A lot whose words need more room than the shared page leaves is laid out by itself, so that nothing is squeezed in.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from io import BytesIO
from typing import Any

import pikepdf
from django.template.loader import render_to_string
from django.utils.translation import override
from pikepdf import Dictionary

from guides.codes import qr
from guides.presenters.addresses import PrintedAddress
from guides.presenters.guide_sheet import GuideSheet

from . import compose, finished
from .compose import House
from .fitting import fitted
from .formats import Format
from .imposing import form_of
from .painting import draft_of, guarded
from .placed import Piece, Slot
from .render import Laid
from .typefaces import missing_characters

_AT_ONCE = 250
_POINT_PER_MM = 72 / 25.4
_TOLERANCE_MM = 0.2
_HALF_A_LINE_MM = 1.0
_HIDDEN = "[data-lot],.symbol svg{visibility:hidden}"


@dataclass(frozen=True)
class Bag:
    """One lot's copy of a guide: its sheet, and what its symbol says."""

    sheet: GuideSheet
    address: PrintedAddress
    symbol: qr.Symbol


@dataclass(frozen=True)
class Stamped:
    """A file with every distinct page once.

    ``pages`` are the sides of each bag's copy in it, in the order given; ``symbol_side`` is the one with the symbol.
    """

    pdf: bytes
    pages: tuple[tuple[int, ...], ...]
    symbol_side: int


@dataclass(frozen=True)
class _Shared:
    """The page that all lots share, with the places left free on it."""

    pdf: bytes
    rules: str
    slots: tuple[Slot, ...]
    symbol: Piece

    def on(self, side: int) -> list[Slot]:
        return [slot for slot in self.slots if slot.page == side]

    @property
    def sides(self) -> list[int]:
        """Sides with something of the lot on them."""
        return sorted({slot.page for slot in self.slots} | {self.symbol.page})


def stamped(bags: Sequence[Bag], house: House, paper: Format, mark: str = "") -> Stamped:
    """Give a guide for many lots in one file.

    Args:
        bags: all of the same guide, revision and language.
        house: the roastery.
        paper: a format whose parts that differ from lot to lot are marked (``data-lot``).
        mark: what tells this printing from others of the same edition.

    Raises:
        InsertRefused: as by ``painting.painted``.
    """
    with guarded(), ExitStack() as files, pikepdf.new() as whole:
        shared = _share(max(bags, key=_length), house, paper, mark)
        sources = files.enter_context(pikepdf.open(BytesIO(shared.pdf))).pages
        under = [whole.copy_foreign(form_of(page)) for page in sources]
        boxes = [(page.MediaBox, page.TrimBox) for page in sources]
        same = {side: _add(whole, boxes[side], {"Shared": form}) for side, form in enumerate(under)}
        pages: list[tuple[int, ...]] = []
        for start in range(0, len(bags), _AT_ONCE):
            some = bags[start : start + _AT_ONCE]
            laid = _lay_stamps(some, shared, paper)
            crowded = set(_crowded(laid, shared))
            stamps = iter(files.enter_context(pikepdf.open(BytesIO(laid.pdf()))).pages)
            for number, bag in enumerate(some):
                over = {side: next(stamps) for side in shared.sides}
                if number in crowded:
                    alone = files.enter_context(pikepdf.open(BytesIO(_alone(bag, house, paper, mark))))
                    pages.append(tuple(range(len(whole.pages), len(whole.pages) + len(alone.pages))))
                    whole.pages.extend(alone.pages)
                    continue
                sides = dict(same)
                for side, page in over.items():
                    forms = {"Shared": under[side], "Stamp": whole.copy_foreign(form_of(page))}
                    code = _code(bag.symbol, shared.symbol, paper) if side == shared.symbol.page else ""
                    sides[side] = _add(whole, boxes[side], forms, code)
                pages.append(tuple(sides.values()))
        return Stamped(finished.bytes_of(whole), tuple(pages), shared.symbol.page)


def _length(bag: Bag) -> int:
    """How much a lot has to say, roughly."""
    lot = bag.sheet.lot
    return len(lot.name) + len(lot.window) if lot else 0


def _share(bag: Bag, house: House, paper: Format, mark: str) -> _Shared:
    """Lay out what all lots share, around the one with most to say."""
    html = compose.html(bag.sheet, bag.address, bag.symbol, house, paper, mark)
    laid = fitted(draft_of(html, paper), bag.symbol, house, paper, _HIDDEN)
    symbol = next(piece for piece in laid.pieces() if piece.field == "code" and not piece.text)
    return _Shared(laid.pdf(), laid.rules.removesuffix(_HIDDEN), tuple(laid.slots()), symbol)


def _alone(bag: Bag, house: House, paper: Format, mark: str) -> bytes:
    html = compose.html(bag.sheet, bag.address, bag.symbol, house, paper, mark)
    return fitted(draft_of(html, paper), bag.symbol, house, paper).pdf()


def _lay_stamps(bags: Sequence[Bag], shared: _Shared, paper: Format) -> Laid:
    """Lay out the words of each lot where the shared page has left room for them: a page for each side of each lot."""
    first = bags[0].sheet
    stamps = [
        {
            "side": paper.sides[side],
            "parts": compose.lot_parts(bag.sheet, bag.address, [slot.name for slot in shared.on(side)]),
        }
        for bag in bags
        for side in shared.sides
    ]
    context = {"language": first.language, "direction": first.direction, "title": first.title, "stamps": stamps}
    with override(first.language):
        html = render_to_string("guides/documents/stamps.html", context)
    places = "".join(
        f"[data-lot={slot.name}]{{position:absolute;margin:0;left:{slot.left - paper.margin_mm}mm;"
        f"top:{slot.top - paper.margin_mm}mm;width:{slot.right - slot.left}mm}}"
        for slot in shared.slots
    )
    rules = f"{shared.rules}{places}section::before{{display:none}}section{{break-after:page}}"
    return draft_of(html, paper).lay_out(f"{rules}section:last-child{{break-after:auto}}")


def _crowded(laid: Laid, shared: _Shared) -> Iterator[int]:
    """Number those bags whose words reach beyond the room left for them, or have letters we do not have."""
    per_bag = len(shared.sides)
    rooms = [(shared.on(side), side) for side in shared.sides]
    for piece in laid.pieces():
        slots, _side = rooms[piece.page % per_bag]
        if piece.text.strip() and (missing_characters(piece.text) or not any(_within(piece, slot) for slot in slots)):
            yield piece.page // per_bag


def _within(piece: Piece, slot: Slot) -> bool:
    return (
        piece.left >= slot.left - _TOLERANCE_MM
        and piece.right <= slot.right + _TOLERANCE_MM
        and piece.top >= slot.top - _HALF_A_LINE_MM
        and piece.bottom <= slot.bottom + _HALF_A_LINE_MM
    )


def _code(symbol: qr.Symbol, place: Piece, paper: Format) -> str:
    """Give a symbol as PDF operators: its white, then its dark modules as one area."""
    module = (place.right - place.left) / symbol.side * _POINT_PER_MM
    left, top = place.left * _POINT_PER_MM, (paper.height_mm - place.top) * _POINT_PER_MM
    dark = "".join(
        f"{left + x * module:.4f} {top - (y + 1) * module:.4f} {count * module:.4f} {module:.4f} re "
        for x, y, count in symbol.runs()
    )
    side = symbol.side * module
    return f"q 1 g {left:.4f} {top - side:.4f} {side:.4f} {side:.4f} re f 0 g {dark}f Q"


def _add(whole: pikepdf.Pdf, boxes: tuple[Any, Any], forms: Mapping[str, pikepdf.Object], code: str = "") -> int:
    """Add a page that shows forms on top of each other, and give its number."""
    whole.add_blank_page()
    page = whole.pages[-1]
    page.MediaBox, page.TrimBox = (pikepdf.Array(list(box.as_list())) for box in boxes)
    page.Contents = whole.make_stream(" ".join([*(f"/{name} Do" for name in forms), code]).encode())
    page.Resources = Dictionary(XObject=Dictionary({f"/{name}": form for name, form in forms.items()}))
    return len(whole.pages) - 1
