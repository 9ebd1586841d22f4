"""Where the engine has put every line: what is needed to see that nothing is cut, lost or on top of something else."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

MM_PER_PX = 25.4 / 96
# Above and below the line letters stand on, in sizes of their type: with room for marks on capitals and below.
_ABOVE, _BELOW = 1.0, 0.4


@dataclass(frozen=True)
class Piece:
    """A run of text or a picture where it came to lie, in mm from the page's top left corner.

    ``field`` names the part of the guide it belongs to, ``side`` the side it is meant for; ``foot`` marks what stands
    at the bottom of its side. ``column_left`` and ``column_right`` are the edges of the block around it.
    """

    page: int
    side: str
    field: str
    foot: bool
    text: str
    left: float
    top: float
    right: float
    bottom: float
    column_left: float
    column_right: float


@dataclass(frozen=True)
class Slot:
    """The place of an element that differs from lot to lot (``data-lot``), in mm from the page's top left corner."""

    page: int
    name: str
    left: float
    top: float
    right: float
    bottom: float


@dataclass(frozen=True)
class _Place:
    """What a box or an element has from those around it."""

    page: int = 0
    side: str = ""
    field: str = ""
    foot: bool = False
    column_left: float = 0.0
    column_right: float = 0.0

    def within(self, element: Any) -> _Place:
        get = element.attrib.get
        return replace(
            self,
            side=get("data-side", self.side),
            field=get("data-field", self.field),
            foot=self.foot or "data-foot" in element.attrib,
        )


def written(root: Any) -> dict[tuple[str, str], str]:
    """Give every text of a document, whether it came to lie anywhere or not, by side and field.

    Args:
        root: the engine's tree of elements.
    """
    texts: dict[tuple[str, str], str] = defaultdict(str)
    for place, text in _written(root, _Place()):
        texts[place] += text
    return texts


def pieces(page_box: Any, number: int, boxes: Any) -> Iterator[Piece]:
    """Give every run of text and every picture of a page.

    Args:
        page_box: the engine's box of the page.
        number: of the page, from 0.
        boxes: the engine's kinds of boxes.
    """
    return _pieces(page_box, _Place(number, column_right=page_box.margin_width()), boxes)


def slots(box: Any, number: int) -> Iterator[Slot]:
    """Give the place of every element that differs from lot to lot.

    Args:
        box: the engine's box of the page.
        number: of the page, from 0.
    """
    name = box.element.attrib.get("data-lot") if hasattr(box.element, "attrib") else None
    if name:
        left, top = box.border_box_x() * MM_PER_PX, box.border_box_y() * MM_PER_PX
        right, bottom = left + box.border_width() * MM_PER_PX, top + box.border_height() * MM_PER_PX
        yield Slot(number, name, left, top, right, bottom)
        return
    for child in getattr(box, "children", ()):
        yield from slots(getattr(child, "_box", child), number)


def _written(element: Any, place: _Place) -> Iterator[tuple[tuple[str, str], str]]:
    """Every text of the body with its side and field, in the order written."""
    if not isinstance(element.tag, str) or element.tag.endswith(("svg", "head")):
        return
    place = place.within(element)
    yield (place.side, place.field), element.text or ""
    for child in element:
        yield from _written(child, place)
        yield (place.side, place.field), child.tail or ""


def _ink(box: Any) -> tuple[float, float]:
    """From where to where letters reach, from the top of their box: some typefaces claim twice their height."""
    size = box.style["font_size"]
    return max(box.baseline - _ABOVE * size, 0.0), min(box.baseline + _BELOW * size, box.height)


def _column(box: Any) -> tuple[float, float]:
    """The edges of the room for a block's lines; a first line may hang into the padding where lines begin."""
    left, right = box.content_box_x(), box.content_box_x() + box.width
    if box.style["direction"] == "rtl":
        return left, right + box.padding_right
    return left - box.padding_left, right


def _pieces(box: Any, place: _Place, boxes: Any) -> Iterator[Piece]:
    if hasattr(box.element, "attrib"):
        place = place.within(box.element)
    if isinstance(box, boxes.BlockContainerBox):
        left, right = _column(box)
        place = replace(place, column_left=left, column_right=right)
    if isinstance(box, boxes.TextBox | boxes.ReplacedBox):
        top, bottom = _ink(box) if isinstance(box, boxes.TextBox) else (0.0, box.height)
        yield Piece(
            page=place.page,
            side=place.side,
            field=place.field,
            foot=place.foot,
            text=getattr(box, "text", ""),
            left=box.position_x * MM_PER_PX,
            top=(box.position_y + top) * MM_PER_PX,
            right=(box.position_x + box.width) * MM_PER_PX,
            bottom=(box.position_y + bottom) * MM_PER_PX,
            column_left=place.column_left * MM_PER_PX,
            column_right=place.column_right * MM_PER_PX,
        )
    for child in getattr(box, "children", ()):
        yield from _pieces(getattr(child, "_box", child), place, boxes)
