"""Strokes and letters that all drawings share."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape

from guides.presenters.numbers import clock

WIDTH = 400.0
_LETTER = 0.56  # width of a letter of ours over its height, on average
_TIME_STEPS_S = (15, 30, 60, 120, 180, 300, 600, 1200)


@dataclass(frozen=True)
class Chart:
    """Where seconds, and whatever is measured, land in the picture."""

    end_s: float
    low: float
    high: float
    left: float = 44.0
    right: float = 10.0
    top: float = 24.0
    plot: float = 180.0

    @property
    def bottom(self) -> float:
        return self.top + self.plot

    def x(self, time_s: float) -> float:
        return self.left + (WIDTH - self.left - self.right) * min(time_s, self.end_s) / self.end_s

    def y(self, value: float) -> float:
        return self.top + self.plot * (1 - (value - self.low) / (self.high - self.low))

    def line(self, points: Iterable[tuple[float, float]]) -> str:
        return " ".join(f"{self.x(time):.1f},{self.y(value):.1f}" for time, value in points)


def svg(uid: str, title: str, description: str, height: float, parts: Iterable[str], *, width: float = WIDTH) -> str:
    """Wrap strokes into one titled, described ``<svg>``; ``uid`` leads its ids, so that drawings may share a page."""
    return (
        f'<svg class="drawing" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {height:.0f}" '
        f'role="img" aria-labelledby="{uid}-title {uid}-desc" font-size="14" fill="currentColor">'
        f'<title id="{uid}-title">{escape(title)}</title><desc id="{uid}-desc">{escape(description)}</desc>'
        f"{''.join(parts)}</svg>"
    )


def text(x: float, y: float, words: str, *, anchor: str = "start", bold: bool = False, faint: bool = False) -> str:
    """Set words with their baseline at a place; ``anchor`` is the end of them that stays there."""
    marks = f' text-anchor="{anchor}"' if anchor != "start" else ""
    marks += ' font-weight="700"' if bold else ""
    marks += ' fill-opacity=".75"' if faint else ""
    return f'<text x="{x:.1f}" y="{y:.1f}"{marks}>{escape(words)}</text>'


def stroke(d: str, *, width: float = 1, opacity: str = "", dash: str = "", kind: str = "") -> str:
    """Draw along a path."""
    marks = f' class="{kind}"' if kind else ""
    marks += f' stroke-width="{width:g}"' if width != 1 else ""
    marks += f' stroke-opacity="{opacity}"' if opacity else ""
    marks += f' stroke-dasharray="{dash}"' if dash else ""
    return f'<path{marks} d="{d}" fill="none" stroke="currentColor"/>'


def tick(most: float, steps: Sequence[int], count: int) -> int:
    """The smallest round step that needs no more than so many ticks."""
    return next((step for step in steps if most / step <= count), steps[-1])


def time_tick(end_s: float) -> int:
    """Seconds between two marks of a clock that runs so long."""
    return tick(end_s, _TIME_STEPS_S, 6)


def time_axis(chart: Chart) -> list[str]:
    """Marks and clock times under a chart."""
    parts = []
    for time in range(0, int(chart.end_s) + 1, time_tick(chart.end_s)):
        parts.append(stroke(f"M{chart.x(time):.1f} {chart.bottom:.0f}v4", opacity=".7"))
        x = min(chart.x(time), WIDTH - width_of(clock(time)) / 2)  # the last one stays whole
        parts.append(text(x, chart.bottom + 18, clock(time), anchor="middle", faint=True))
    return parts


def value_axis(chart: Chart, labels: Sequence[tuple[float, str]]) -> list[str]:
    """Level lines with their labels at the left; the lowest is drawn stronger."""
    parts = []
    for index, (value, words) in enumerate(labels):
        parts.append(
            f'<path class="grid" d="M{chart.left:.0f} {chart.y(value):.1f}H{WIDTH - chart.right:.0f}" '
            f'stroke="currentColor" stroke-opacity="{".7" if index == 0 else ".15"}"/>'
        )
        parts.append(text(chart.left - 5, chart.y(value) + 5, words, anchor="end", faint=True))
    return parts


def margin_for(labels: Sequence[tuple[float, str]]) -> float:
    """How far from the left a chart begins, so that the labels of its axis have room."""
    return max(44.0, max(width_of(words) for _, words in labels) + 9)


def width_of(words: str, size: float = 14.0) -> float:
    """About how wide words will be."""
    return len(words) * _LETTER * size


def wrapped(words: str, room: float, size: float = 14.0) -> list[str]:
    """Break words into lines that fit a width."""
    lines: list[str] = []
    for word in words.split():
        if lines and width_of(f"{lines[-1]} {word}", size) <= room:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def spread(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Move places on a line apart until each has its gap, as little as need be, between two ends; they rise."""
    placed: list[float] = []
    for place in wanted:
        placed.append(max(place, placed[-1] + gap if placed else low))
    ceiling = high
    for index in reversed(range(len(placed))):
        placed[index] = min(placed[index], ceiling)
        ceiling = placed[index] - gap
    return placed
