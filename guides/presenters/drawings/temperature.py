"""Kettle and brewer over time: what reads 96 is not what the coffee feels."""

from __future__ import annotations

import math

from django.utils.translation import gettext, override

from guides.calculations.assessment import Assessment
from guides.calculations.plan import Plan
from guides.presenters.numbers import Figures, clock
from guides.presenters.units import METRIC, Units

from .canvas import Chart, margin_for, stroke, svg, text, time_axis, time_tick, value_axis

_POINTS, _KETTLE_POINTS, _STEP_C = 44, 10, 20


def temperature_drawing(
    plan: Plan, assessment: Assessment, language: str, *, uid: str = "heat", units: Units = METRIC
) -> str:
    """Draw how hot kettle and brewer are, over the clock.

    Args:
        plan: the brew.
        assessment: what the calculation room says about it.
        language: of the words in the drawing.
        uid: leads the ids inside, so that two drawings may share a page.
        units: the reader's.

    Returns:
        One ``<svg>`` element, titled and described; empty for a plan that cannot be simulated.
    """
    course = assessment.course
    if len(course) < 2:
        return ""
    figures = Figures(language, units)
    kettle = [(point.time_s, point.kettle_c) for point in course]
    brewer = [(point.time_s, point.slurry_c) for point in course]
    peak = max(brewer, key=lambda point: point[1])
    low, high = _range_c(assessment)
    marks = range(low, int(high) + 1, _STEP_C)
    labels = [(c, figures.celsius(c) if c == marks[-1] else figures.degrees(c)) for c in marks]
    end_s = max(course[-1].time_s * 1.02, time_tick(course[-1].time_s))
    chart = Chart(end_s, low, high, margin_for(labels), top=12.0, plot=150.0)
    with override(language):
        parts = [
            *value_axis(chart, labels),
            *time_axis(chart),
            stroke("M" + chart.line(_thinned(kettle, _KETTLE_POINTS)), width=1.5, dash="5 3", kind="kettle"),
            stroke("M" + chart.line(_thinned(brewer, _POINTS)), width=2.5, kind="poured"),
            *_names(chart, kettle, brewer, peak, figures),
        ]
        title = gettext("Temperature of kettle and brewer against time")
        return svg(uid, title, _said(plan, brewer, peak, figures), chart.bottom + 26, parts)


def _range_c(assessment: Assessment) -> tuple[int, float]:
    coldest = min(point.slurry_c for point in assessment.course)
    hottest = max(max(point.kettle_c, point.slurry_c) for point in assessment.course)
    low = math.floor(coldest / _STEP_C) * _STEP_C
    return low, max(hottest + 9, low + 2 * _STEP_C)  # room for the kettle's name above its line


def _thinned(points: list[tuple[float, float]], count: int) -> list[tuple[float, float]]:
    return [*points[:: max(1, len(points) // count)], points[-1]]


def _names(
    chart: Chart,
    kettle: list[tuple[float, float]],
    brewer: list[tuple[float, float]],
    peak: tuple[float, float],
    figures: Figures,
) -> list[str]:
    """Each line named where there is room: the kettle above its end, the brewer under the middle of its own."""
    x, y = chart.x(peak[0]), chart.y(peak[1])
    last = kettle[-1]
    later = [temp for time, temp in brewer if time >= chart.end_s * 0.45]
    under = chart.y(min(later or [brewer[-1][1]])) + 18
    end = chart.x(chart.end_s)
    top = min(chart.y(temp) for time, temp in kettle if chart.x(time) > end - 90) - 7
    hottest = gettext("%(temperature)s at %(time)s") % {
        "temperature": figures.about(figures.celsius(round(peak[1]))),
        "time": clock(peak[0]),
    }
    return [
        text(chart.x(last[0]), top, gettext("kettle"), anchor="end"),
        text(end, min(under, chart.bottom - 24), gettext("in the brewer"), anchor="end", bold=True),
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4"/>',
        text(end, min(under + 17, chart.bottom - 7), hottest, anchor="end"),
    ]


def _said(plan: Plan, brewer: list[tuple[float, float]], peak: tuple[float, float], figures: Figures) -> str:
    return gettext(
        "The kettle reads %(kettle)s at the start. Water and coffee are hottest at %(time)s, %(peak)s, and %(end)s "
        "at the end."
    ) % {
        "kettle": figures.celsius(plan.kettle_c),
        "time": clock(peak[0]),
        "peak": figures.about(figures.celsius(round(peak[1]))),
        "end": figures.about(figures.celsius(round(brewer[-1][1]))),
    }
