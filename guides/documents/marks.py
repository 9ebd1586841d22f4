"""Lines on a sheet that show where to cut and whether its two sides lie behind each other.

They stand where copies meet, inside the white margin that every format of ours keeps, and run along the cut itself, so
that cutting takes them away; where copies reach over their cuts, they stand around the whole. On a two-sided sheet both
sides have them in the same places: held against the light, they are the check of the register.
"""

from __future__ import annotations

from collections.abc import Iterator

from .formats import TEXT_FROM_TRIM_MM
from .sheets import Layout

ARM_MM = TEXT_FROM_TRIM_MM - 0.5
"""Length of a mark's arm: short of where text may begin."""
_LINE_MM = 0.1
_FROM_BLEED_MM = 0.5
_POINT_PER_MM = 72 / 25.4

Line = tuple[tuple[float, float], tuple[float, float]]


def cut_marks(layout: Layout) -> str:
    """Give the marks of a sheet as PDF operators; nothing for stock that is cut already."""
    if layout.stock:
        return ""
    lines = [
        f"{_points(x0)} {_points(y0)} m {_points(x1)} {_points(y1)} l"
        for (x0, y0), (x1, y1) in dict.fromkeys(_lines(layout))
    ]
    return f"q {_points(_LINE_MM)} w 0 G {' '.join(lines)} S Q"


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


def _points(mm: float) -> str:
    return f"{mm * _POINT_PER_MM:.3f}"
