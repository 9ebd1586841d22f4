"""Strength against extraction: trials as points, ratio lines of their dose, published bands as outlines. A map."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext, override

from guides.calculations.assessment import Targets
from guides.calculations.cup_map import PUBLISHED_BAND, SPAN, Box
from guides.calculations.mass_balance import Measured
from guides.presenters.numbers import Figures

from .canvas import WIDTH, Chart, stroke, svg, text, value_axis

_MARK_R = 5.0


@dataclass(frozen=True)
class CupPoint:
    """A measured cup: its mark, the extraction with its error, and the strength of the finished cup."""

    mark: str
    extraction: Measured
    strength: float


@dataclass(frozen=True)
class RatioLine:
    """All cups of one recipe: so much water to this dose. ``slope`` is strength per extraction."""

    label: str
    slope: float


def cup_drawing(
    points: Sequence[CupPoint],
    lines: Sequence[RatioLine],
    language: str,
    *,
    targets: Targets | None = None,
    uid: str = "cup",
) -> str:
    """Draw measured cups on a map of strength against extraction.

    Args:
        points: measured cups.
        lines: recipes of this dose, the least water first.
        language: of the words in the drawing.
        targets: what the guide means the cup to be, outlined.
        uid: leads the ids inside, so that two drawings may share a page.

    Returns:
        One ``<svg>`` element, titled and described; empty without a measured cup.
    """
    if not points:
        return ""
    figures = Figures(language)
    extractions = [point.extraction.value for point in points]
    strengths = [point.strength for point in points]
    left, right = min([SPAN.extraction_low, *extractions]), max([SPAN.extraction_high, *extractions])
    low, high = min([SPAN.strength_low, *strengths]), max([SPAN.strength_high, *strengths])
    labels = [(mark / 1000, figures.fixed(mark / 10, 1)) for mark in range(_up(low, 2), int(1000 * high + 1e-6) + 1, 2)]
    span = right - left
    chart = Chart(span, low, high, 44.0, right=64.0, top=26.0, plot=230.0)
    with override(language):
        strength_axis, extraction_axis = gettext("strength, %"), gettext("extraction, %")
        parts = [
            *value_axis(chart, labels),
            text(4, 14, strength_axis, faint=True),
            *_below(chart, left, right, extraction_axis),
            *_lines(chart, lines, left, right, low, high),
            *_box(chart, left, PUBLISHED_BAND, gettext("published band"), dash="5 3"),
            *(_box(chart, left, _meant(targets), gettext("meant"), dash="") if targets else ()),
            *_points(chart, points, left),
        ]
        title = gettext("Strength against extraction")
        return svg(uid, title, _said(points, figures), chart.bottom + 42, parts)


def _up(fraction: float, step: int) -> int:
    thousandths = -(-int(1000 * fraction + 0.999) // step) * step
    return int(thousandths)


def _meant(targets: Targets) -> Box | None:
    if targets.strength_low is None or targets.strength_high is None:
        return None
    low, high = targets.strength_low, targets.strength_high
    if high - low < 0.0002:
        low, high = low - 0.0002, high + 0.0002
    middle = targets.extraction
    sides = (
        (middle - 0.005, middle + 0.005) if middle else (PUBLISHED_BAND.extraction_low, PUBLISHED_BAND.extraction_high)
    )
    return Box(*sides, low, high)


def _below(chart: Chart, left: float, right: float, words: str) -> list[str]:
    parts = []
    for mark in range(_up(left, 20) // 10, int(100 * right + 1e-6) + 1, 2):
        x = chart.x(mark / 100 - left)
        parts.append(stroke(f"M{x:.1f} {chart.bottom:.0f}v4", opacity=".7"))
        parts.append(text(x, chart.bottom + 18, str(mark), anchor="middle", faint=True))
    parts.append(text(WIDTH - chart.right, chart.bottom + 36, words, anchor="end", faint=True))
    return parts


def _lines(chart: Chart, lines: Sequence[RatioLine], left: float, right: float, low: float, high: float) -> list[str]:
    """Each line named at its right end, or on top where it leaves the map there, unless that name has no room."""
    parts = []
    named_x, named_y = -1e9, -1e9
    for line in lines:
        start, end = max(left, low / line.slope), min(right, high / line.slope)
        if end <= start:
            continue
        x, y = chart.x(end - left), chart.y(end * line.slope)
        parts.append(
            stroke(f"M{chart.x(start - left):.1f} {chart.y(start * line.slope):.1f}L{x:.1f} {y:.1f}", opacity=".5")
        )
        on_top = end < right - 1e-9
        if on_top and x - named_x > 40:
            parts.append(text(x, chart.top - 5, line.label, anchor="middle", faint=True))
            named_x = x
        elif not on_top and y - named_y > 16:
            parts.append(text(x + 4, y + 5, line.label, faint=True))
            named_y = y
    return parts


def _box(chart: Chart, left: float, box: Box | None, words: str, *, dash: str) -> list[str]:
    if box is None:
        return []
    x0, x1 = chart.x(max(box.extraction_low - left, 0)), chart.x(box.extraction_high - left)
    y0, y1 = chart.y(box.strength_high), chart.y(box.strength_low)
    outline = stroke(f"M{x0:.1f} {y0:.1f}H{x1:.1f}V{y1:.1f}H{x0:.1f}Z", width=1.5, dash=dash, opacity=".8")
    if dash:
        return [outline, text(x0, y1 + 15, words, faint=True)]
    return [outline, text(x0 - 5, (y0 + y1) / 2 + 5, words, anchor="end", faint=True)]  # cups lie in and above it


def _points(chart: Chart, points: Sequence[CupPoint], left: float) -> list[str]:
    parts = []
    for index, point in enumerate(points):
        x, y = chart.x(max(point.extraction.value - left, 0)), chart.y(point.strength)
        reach = (WIDTH - chart.left - chart.right) * point.extraction.sd / chart.end_s
        parts.append(stroke(f"M{x - reach:.1f} {y:.1f}H{x + reach:.1f}", width=1.5))
        parts.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{_MARK_R:g}"/>')
        # Marks of neighbours on opposite sides: trials of one coffee lie close together.
        beside = text(x + 8, y - 7, point.mark, bold=True)
        parts.append(beside if index % 2 == 0 else text(x - 8, y + 17, point.mark, anchor="end", bold=True))
    return parts


def _said(points: Sequence[CupPoint], figures: Figures) -> str:
    each = "; ".join(
        gettext("%(mark)s: strength %(strength)s, extraction %(extraction)s")
        % {
            "mark": point.mark,
            "strength": figures.percent(point.strength),
            "extraction": figures.percent(point.extraction.value, 1),
        }
        for point in points
    )
    return each + "."
