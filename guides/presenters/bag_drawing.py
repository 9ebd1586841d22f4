"""A bag's window as a line: rest, best days, after, and where today stands."""

from __future__ import annotations

from html import escape

from guides.calculations.freshness import BestDays

_WIDTH, _EDGE, _LINE = 400.0, 4.0, 30.0


def window_drawing(age: int, days: BestDays, *, today: str, first: str, last: str) -> str:
    """Draw the days of a bag.

    Hidden from screen readers: the dated sentence beside it says the same.

    Args:
        age: days since roasting.
        days: first and last good day.
        today: the word over the mark.
        first: the first good day as a date.
        last: the last good day as a date.
    """
    end = max(days.last * 1.3, age * 1.08, 1.0)

    def x(day: float) -> float:
        return _EDGE + (_WIDTH - 2 * _EDGE) * day / end

    here, begin, stop = x(age), x(days.first), x(days.last)
    return (
        f'<svg class="window-line" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDTH:.0f} 56" aria-hidden="true" '
        'focusable="false" font-size="16" fill="currentColor">'
        f'<path d="M{_EDGE:.0f} {_LINE:.0f}H{begin:.1f}" stroke="currentColor" stroke-width="2" '
        'stroke-dasharray="2 4"/>'
        f'<path class="best" d="M{begin:.1f} {_LINE:.0f}H{stop:.1f}" stroke="currentColor" stroke-width="7"/>'
        f'<path d="M{stop:.1f} {_LINE:.0f}H{_WIDTH - _EDGE:.0f}" stroke="currentColor" stroke-width="2" '
        'stroke-opacity=".5"/>'
        f'<path d="M{here:.1f} {_LINE + 7:.0f}v-14l-5 -6h10l-5 6" stroke="currentColor" stroke-width="2" '
        'stroke-linejoin="round"/>'
        f"{_label(here, 12, today, bold=True)}{_label(begin, 52, first)}{_label(stop, 52, last)}</svg>"
    )


def _label(x: float, y: int, text: str, *, bold: bool = False) -> str:
    """A word centred on a place, or flush with the edge it would run over."""
    room = len(text) * 4.8
    anchor = "start" if x < room else "end" if x > _WIDTH - room else "middle"
    weight = ' font-weight="700"' if bold else ""
    return f'<text x="{x:.1f}" y="{y}" text-anchor="{anchor}"{weight}>{escape(text)}</text>'
