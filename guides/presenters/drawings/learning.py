"""What trials teach, drawn: the window of the next brew against their number, and how fast each lot drains."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext, override

from guides.calculations.validity import Window
from guides.presenters.numbers import clock

from .canvas import WIDTH, Chart, margin_for, stroke, svg, text, tick, value_axis

_TIME_STEPS_S = (5, 10, 15, 30, 60, 120, 300, 600)
_MARKS = (1, 2, 5, 10, 20, 50, 100)


@dataclass(frozen=True)
class Trial:
    """One brew on the clock of the plan at hand: ``drained_s`` is when its coffee would drain that plan."""

    drained_s: float
    aside: bool = False
    far_off: bool = False


@dataclass(frozen=True)
class LotDrained:
    """One lot on the same clock: the earliest, mean and latest of its brews."""

    name: str
    low_s: float
    mean_s: float
    high_s: float
    brews: int


def windows_drawing(windows: Sequence[Window], brews: Sequence[Trial], language: str, *, uid: str = "windows") -> str:
    """Draw the window for the next brew after each number of trials, and each brew as it came.

    Args:
        windows: drained time after 0, 1, 2 … trials, in clock seconds.
        brews: the brews, oldest first; one more window than brews.
        language: of the words in the drawing.
        uid: leads the ids inside.

    Returns:
        One ``<svg>`` element, titled and described.
    """
    times = [*(window.low for window in windows), *(window.high for window in windows), *(b.drained_s for b in brews)]
    low, high, labels = _clock_axis(times)
    last = max(len(windows) - 1, 1)
    chart = Chart(last, low, high, margin_for(labels), right=16.0, top=12.0, plot=170.0)
    upper = [(number, window.high) for number, window in enumerate(windows)]
    lower = [(number, window.low) for number, window in enumerate(windows)]
    likely = [(number, window.likely) for number, window in enumerate(windows)]
    with override(language):
        parts = [*value_axis(chart, labels)]
        if len(windows) > 1:
            band = chart.line([*upper, *reversed(lower)])
            parts += [
                f'<path d="M{band}Z" fill="currentColor" fill-opacity=".1" stroke="none"/>',
                stroke("M" + chart.line(upper)),
                stroke("M" + chart.line(lower)),
                stroke("M" + chart.line(likely), width=2.5),
            ]
        else:
            x = chart.x(0)
            parts.append(stroke(f"M{x:.1f} {chart.y(windows[0].low):.1f}V{chart.y(windows[0].high):.1f}", width=2.5))
        parts += [_mark(chart, number, brew) for number, brew in enumerate(brews, start=1)]
        step = tick(last, _MARKS, 8)
        for number in range(0, last + 1, step):
            parts.append(text(chart.x(number), chart.bottom + 18, str(number), anchor="middle", faint=True))
        parts.append(text(WIDTH - chart.right, chart.bottom + 36, gettext("trial brews"), anchor="end", faint=True))
        said = gettext("Without trials %(wide)s; after %(number)s %(narrow)s.") % {
            "wide": _span(windows[0]),
            "number": len(windows) - 1,
            "narrow": _span(windows[-1]),
        }
        title = gettext("Window of the drained time against the number of trial brews")
        return svg(uid, title, said, chart.bottom + 42, parts)


def drift_drawing(lots: Sequence[LotDrained], language: str, *, uid: str = "drift") -> str:
    """Draw the lots of a coffee side by side, oldest first.

    Args:
        lots: two lots or more; for fewer there is nothing to compare.
        language: of the words in the drawing.
        uid: leads the ids inside.

    Returns:
        One ``<svg>`` element, titled and described; empty for fewer than two lots.
    """
    if len(lots) < 2:
        return ""
    low, high, labels = _clock_axis([time for lot in lots for time in (lot.low_s, lot.high_s)])
    chart = Chart(len(lots), low, high, margin_for(labels), right=16.0, top=12.0, plot=150.0)
    room = (WIDTH - chart.left - chart.right) / len(lots)
    with override(language):
        parts = [*value_axis(chart, labels)]
        means = [(index + 0.5, lot.mean_s) for index, lot in enumerate(lots)]
        parts.append(stroke("M" + chart.line(means), opacity=".5", dash="4 3"))
        named = -1e9
        for index, lot in enumerate(lots):
            x = chart.x(index + 0.5)
            parts.append(stroke(f"M{x:.1f} {chart.y(lot.low_s):.1f}V{chart.y(lot.high_s):.1f}", width=2))
            parts.append(f'<circle cx="{x:.1f}" cy="{chart.y(lot.mean_s):.1f}" r="5"/>')
            if x - named >= max(60.0, room):
                parts.append(text(x, chart.bottom + 18, lot.name, anchor="middle", faint=True))
                named = x
        said = "; ".join(
            gettext("%(lot)s: about %(time)s over %(number)s brews")
            % {"lot": lot.name, "time": clock(lot.mean_s), "number": lot.brews}
            for lot in lots
        )
        return svg(uid, gettext("Drained time by lot, on the same plan"), said + ".", chart.bottom + 26, parts)


def _clock_axis(times: Sequence[float]) -> tuple[float, float, list[tuple[float, str]]]:
    span = max(max(times) - min(times), 20.0)
    step = tick(span, _TIME_STEPS_S, 5)
    low = int(min(times) // step) * step
    high = (int(max(times) // step) + 1) * step
    return low, high, [(mark, clock(mark)) for mark in range(low, high + 1, step)]


def _mark(chart: Chart, number: int, brew: Trial) -> str:
    x, y = chart.x(number), chart.y(brew.drained_s)
    if brew.aside:
        return stroke(f"M{x - 4:.1f} {y - 4:.1f}l8 8m0 -8l-8 8", width=1.5)
    ring = f'<circle cx="{x:.1f}" cy="{y:.1f}" r="8" fill="none" stroke="currentColor"/>' if brew.far_off else ""
    return f'{ring}<circle cx="{x:.1f}" cy="{y:.1f}" r="3.5"/>'


def _span(window: Window) -> str:
    return f"{clock(window.low)}–{clock(window.high)}"
