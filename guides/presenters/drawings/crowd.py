"""Many brews' drained times as dots, a row to a grinder, with the guide's window behind them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext, ngettext

from guides.presenters.numbers import clock

from .canvas import WIDTH, Chart, stroke, svg, text, time_tick, width_of

_DOT = 4.0
_LANE = 9.0  # between dots that lie over one another
_HEAD = 22.0  # for a row's name
_BIN_S = 5


@dataclass(frozen=True)
class Dot:
    """One brew; ``as_written`` tells those of the guide's own size from others."""

    time_s: float
    as_written: bool


@dataclass(frozen=True)
class Row:
    name: str
    dots: tuple[Dot, ...]


def crowd_drawing(rows: Sequence[Row], window: tuple[int, int] | None, *, uid: str) -> str:
    """Draw drained times by grinder, in the language that is active.

    Args:
        rows: a grinder each, with at least one dot among them.
        window: of the guide in seconds, if it drains.
        uid: leads the ids of the drawing.

    Returns:
        One ``<svg>`` element.
    """
    times = [dot.time_s for row in rows for dot in row.dots] + list(window or ())
    step = time_tick(max(times) - min(times) + 60)
    first_s = int(min(times) // step * step)
    chart = Chart(end_s=max(times) - first_s + step / 2, low=0, high=1, left=12, right=14)
    parts: list[str] = []
    bottom = 30.0
    for row in rows:
        parts.append(text(chart.left, bottom + 12, f"{row.name}, {len(row.dots)}", bold=True))
        lanes, drawn = _dots(row, chart, first_s)
        height = _HEAD + lanes * _LANE + 8
        parts += [mark.replace("BASE", f"{bottom + height - 8:.1f}") for mark in drawn]
        bottom += height
        parts.append(stroke(f"M{chart.left:.0f} {bottom:.1f}H{WIDTH - chart.right:.0f}", opacity=".3"))
    return svg(
        uid,
        gettext("Drained times by grinder"),
        _description(rows, window),
        bottom + 26,
        [*_window(window, chart, first_s, bottom), *parts, *_axis(chart, first_s, step, bottom)],
    )


def _dots(row: Row, chart: Chart, first_s: int) -> tuple[int, list[str]]:
    """Dots of a row, stacked where they would lie on one another; ``BASE`` stands for the foot of the row."""
    stacked: Counter[int] = Counter()
    marks = []
    for dot in sorted(row.dots, key=lambda dot: (not dot.as_written, dot.time_s)):
        bin_ = int(dot.time_s // _BIN_S)
        up, stacked[bin_] = stacked[bin_] * _LANE, stacked[bin_] + 1
        inside = "currentColor" if dot.as_written else "none"
        marks.append(
            f'<circle cx="{chart.x(dot.time_s - first_s):.1f}" cy="BASE" r="{_DOT:g}" fill="{inside}" '
            f'stroke="currentColor" stroke-width="1.5" transform="translate(0 {-up - _DOT:g})"/>'
        )
    return max(stacked.values(), default=1), marks


def _window(window: tuple[int, int] | None, chart: Chart, first_s: int, bottom: float) -> Iterator[str]:
    if window is None:
        return
    left, right = (chart.x(time - first_s) for time in window)
    yield (
        f'<rect x="{left:.1f}" y="22" width="{max(right - left, 1):.1f}" height="{bottom - 22:.1f}" '
        'fill="currentColor" fill-opacity=".12"/>'
    )
    words = gettext("the guide's window, %(low)s–%(high)s") % {"low": clock(window[0]), "high": clock(window[1])}
    half = width_of(words) / 2
    middle = min(max((left + right) / 2, half + 2), WIDTH - half - 2)
    yield text(middle, 15, words, anchor="middle", faint=True)


def _axis(chart: Chart, first_s: int, step: int, bottom: float) -> Iterator[str]:
    for time in range(0, int(chart.end_s) + 1, step):
        x, words = chart.x(time), clock(first_s + time)
        half = width_of(words) / 2
        yield stroke(f"M{x:.1f} {bottom:.1f}v4", opacity=".7")
        yield text(min(max(x, half), WIDTH - half), bottom + 18, words, anchor="middle", faint=True)


def _description(rows: Sequence[Row], window: tuple[int, int] | None) -> str:
    told = [
        ngettext(
            "%(grinder)s: %(n)d brew, %(first)s.", "%(grinder)s: %(n)d brews, %(first)s to %(last)s.", len(row.dots)
        )
        % {
            "grinder": row.name,
            "n": len(row.dots),
            "first": clock(min(dot.time_s for dot in row.dots)),
            "last": clock(max(dot.time_s for dot in row.dots)),
        }
        for row in rows
    ]
    if window is not None:
        told.append(
            gettext("The guide's window is %(low)s to %(high)s.") % {"low": clock(window[0]), "high": clock(window[1])}
        )
    return " ".join(told)
