"""Lines on a sheet that show where to cut, whether its two sides lie behind each other, and whether it is full size.

Those for cutting stand where copies meet, inside the white margin that every format of ours keeps, and run along the
cut itself, so that cutting takes them away; where copies reach over their cuts, they stand around the whole. On a
two-sided sheet both sides have them in the same places: held against the light, they are the check of the register.
Where a margin has room there are rings for that as well, larger behind than in front, and a ruler.
"""

from __future__ import annotations

from collections.abc import Iterator

from .formats import TEXT_FROM_TRIM_MM
from .sheets import Layout, Place

ARM_MM = TEXT_FROM_TRIM_MM - 0.5
"""Length of a mark's arm: short of where text may begin."""
RULER_MM = 80.0
RULER_BOX_MM = (82.0, 7.0)
"""Width and height of the ruler of a sheet with the words above it."""
_LINE_MM = 0.1
_RINGS_MM = (1.5, 2.5)  # radii in front and behind
_RING_ARM_MM = 3.5
_RULER_LEFT_MM = 12.0
_UNPRINTED_MM = 5.0  # along the edges of a sheet: common practice, no source
_FROM_BLEED_MM = 0.5
_POINT_PER_MM = 72 / 25.4

Line = tuple[tuple[float, float], tuple[float, float]]


def cut_marks(layout: Layout) -> str:
    """Give the marks of a sheet as PDF operators; nothing for stock that is cut already."""
    if layout.stock:
        return ""
    lines = [_stroke(line) for line in dict.fromkeys(_lines(layout))]
    return f"q {_points(_LINE_MM)} w 0 G {' '.join(lines)} S Q"


def register_marks(layout: Layout, side: int) -> str:
    """Give two rings as PDF operators: left and right of the copies, or above and below them; nothing without room.

    Args:
        layout: of a two-sided sheet.
        side: 0 in front, 1 behind.
    """
    wide, high = layout.paper.width_mm, layout.paper.height_mm
    for margin, along in ((layout.left_mm, "x"), (_foot_mm(layout), "y")):
        room = margin - _reach_mm(layout) - _UNPRINTED_MM
        if not layout.stock and room >= 2 * _RING_ARM_MM:
            at = _UNPRINTED_MM + room / 2
            spots = [(at, high / 2), (wide - at, high / 2)] if along == "x" else [(wide / 2, at), (wide / 2, high - at)]
            rings = " ".join(_ring(x, y, _RINGS_MM[side]) for x, y in spots)
            return f"q {_points(_LINE_MM)} w 0 G {rings} S Q"
    return ""


def ruler_place(layout: Layout) -> Place | None:
    """Give where the ruler of a sheet lies, left of where a ring may stand; ``None`` where there is no room for it."""
    width, height = RULER_BOX_MM
    room = _foot_mm(layout) - _reach_mm(layout) - _UNPRINTED_MM
    if layout.stock or room < height:
        return None
    return Place(_RULER_LEFT_MM, _UNPRINTED_MM + (room - height) / 2, width, height, turned=0)


def _foot_mm(layout: Layout) -> float:
    return min(place.bottom_mm for place in layout.fronts())


def _reach_mm(layout: Layout) -> float:
    """How far marks for cutting stand out from the copies."""
    return ARM_MM + (layout.bleed_mm + _FROM_BLEED_MM if layout.bleed_mm else 0.0)


def _ring(x: float, y: float, radius: float) -> str:
    """A circle of four curves, their handles 0.5523 of the radius long (a usual approximation), and a cross."""
    handle = radius * 0.5523
    curves = [f"{_points(x + radius)} {_points(y)} m"]
    for right, up in ((1, 0), (0, 1), (-1, 0), (0, -1)):
        corners = (
            (right * radius - up * handle, up * radius + right * handle),
            (right * handle - up * radius, up * handle + right * radius),
            (-up * radius, right * radius),
        )
        curves.append(" ".join(f"{_points(x + dx)} {_points(y + dy)}" for dx, dy in corners) + " c")
    arms = (((x - _RING_ARM_MM, y), (x + _RING_ARM_MM, y)), ((x, y - _RING_ARM_MM), (x, y + _RING_ARM_MM)))
    return " ".join([*curves, *map(_stroke, arms)])


def _lines(layout: Layout) -> Iterator[Line]:
    """Marks from the lower left in mm, kept on the sheet."""
    yield from _around(layout) if layout.bleed_mm else _crosses(layout)


def _crosses(layout: Layout) -> Iterator[Line]:
    """A cross at every corner of every place."""
    width, height = layout.paper.width_mm, layout.paper.height_mm
    for place in layout.fronts():
        for x in (place.left_mm, place.left_mm + place.width_mm):
            for y in (place.bottom_mm, place.bottom_mm + place.height_mm):
                yield (max(x - ARM_MM, 0.0), y), (min(x + ARM_MM, width), y)
                yield (x, max(y - ARM_MM, 0.0)), (x, min(y + ARM_MM, height))


def _around(layout: Layout) -> Iterator[Line]:
    """A line for every cut, outside the outermost copies: between them lies their bleed."""
    places = list(layout.fronts())
    free = layout.bleed_mm + _FROM_BLEED_MM
    left, right = _ends([(place.left_mm, place.width_mm) for place in places])
    low, high = _ends([(place.bottom_mm, place.height_mm) for place in places])
    for place in places:
        for x in (place.left_mm, place.left_mm + place.width_mm):
            yield (x, max(low - free - ARM_MM, 0.0)), (x, low - free)
            yield (x, high + free), (x, min(high + free + ARM_MM, layout.paper.height_mm))
        for y in (place.bottom_mm, place.bottom_mm + place.height_mm):
            yield (max(left - free - ARM_MM, 0.0), y), (left - free, y)
            yield (right + free, y), (min(right + free + ARM_MM, layout.paper.width_mm), y)


def _ends(spans: list[tuple[float, float]]) -> tuple[float, float]:
    return min(start for start, _length in spans), max(start + length for start, length in spans)


def _stroke(line: Line) -> str:
    (x0, y0), (x1, y1) = line
    return f"{_points(x0)} {_points(y0)} m {_points(x1)} {_points(y1)} l"


def _points(mm: float) -> str:
    return f"{mm * _POINT_PER_MM:.3f}"
