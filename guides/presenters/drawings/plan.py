"""The plan: grams over time, the valve-shut stretch hatched, first drip and drained window beneath."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from itertools import pairwise

from django.utils.translation import gettext, override

from guides.calculations.assessment import Assessment
from guides.calculations.plan import Action, Plan
from guides.calculations.timeline import StepTime, on_the_clock, poured_by
from guides.calculations.units import grams_from_ounces
from guides.calculations.vessel import Flow
from guides.presenters.numbers import Figures, clock
from guides.presenters.units import METRIC, Mass, Units

from .canvas import WIDTH, Chart, margin_for, svg, tick, time_axis, time_tick, value_axis, width_of

_LANE = 21.0
_DRAINED_POINTS = 48
_MASS_STEPS_G = (20, 50, 100, 200, 500, 1000, 2000)
_OUNCE_STEPS = (1, 2, 5, 10, 20, 50, 100)


def plan_drawing(plan: Plan, assessment: Assessment, language: str, *, uid: str = "plan", units: Units = METRIC) -> str:
    """Draw a plan: grams over time, the valve-shut stretch hatched, first drip and drained window beneath.

    Args:
        plan: the brew.
        assessment: what the calculation room says about it.
        language: of the words in the drawing.
        uid: leads the ids inside, so that two drawings may share a page.
        units: the reader's.

    Returns:
        One ``<svg>`` element, titled and described; empty for a plan whose steps never come to the clock.
    """
    if not assessment.step_times:
        return ""
    figures = Figures(language, units)
    lanes = _lanes(assessment, figures, language)
    masses = _masses(_most_g(plan), figures)
    chart = _chart(plan, assessment, margin_for(masses))
    with override(language):
        parts = [
            *_hatching(plan, assessment.step_times, chart, uid),
            *value_axis(chart, masses),
            *time_axis(chart),
            *_drained(assessment, chart),
            *_poured(plan, assessment.step_times, chart, figures),
            *_acts(plan, assessment.step_times, chart, figures),
            *(part for row, lane in enumerate(lanes) for part in _lane(lane, row, chart)),
        ]
        title = (
            gettext("The plan: grams on the scale against time")
            if units.mass is Mass.GRAM
            else gettext("The plan: ounces on the scale against time")
        )
    height = chart.bottom + 24 + _LANE * len(lanes)
    return svg(uid, title, describe(plan, assessment, language, units), height, parts)


def describe(plan: Plan, assessment: Assessment, language: str, units: Units = METRIC) -> str:
    """Say in words what the plan drawing shows, for those who do not see it."""
    figures = Figures(language, units)
    with override(language):
        said = [
            gettext("The scale shows %(mass)s at %(time)s.")
            % {"mass": figures.grams(step.target_g), "time": clock(time.end_s)}
            for step, time in zip(plan.steps, assessment.step_times, strict=False)
            if step.action is Action.POUR and step.target_g is not None
        ]
        said += [
            gettext("The valve is shut from %(start)s to %(end)s.") % {"start": clock(start), "end": clock(end)}
            for start, end in shut_stretches(plan, assessment.step_times)
        ]
        if assessment.first_drip is not None:
            said.append(
                gettext("The first drip is expected at %(window)s.")
                % {"window": figures.time_window(assessment.first_drip)}
            )
        if assessment.drained is not None:
            said.append(
                gettext("The bed is expected to be drained at %(window)s.")
                % {"window": figures.time_window(assessment.drained)}
            )
    return " ".join(said)


def shut_stretches(plan: Plan, times: tuple[StepTime, ...]) -> tuple[tuple[float, float], ...]:
    """Give the stretches of a valve brew, in clock seconds, during which nothing can run off."""
    if plan.brewer.flow is not Flow.VALVE:
        return ()
    shut_at: float | None = 0.0 if plan.valve_shut_at_start else None
    found: list[tuple[float, float]] = []
    for step, time in zip(plan.steps, times, strict=False):
        if step.action is Action.SHUT and shut_at is None:
            shut_at = time.start_s
        elif step.action is Action.OPEN and shut_at is not None:
            found.append((shut_at, time.start_s))
            shut_at = None
    return tuple(found)


def _most_g(plan: Plan) -> float:
    return (plan.water_g + plan.bypass_g) * 1.12


def _chart(plan: Plan, assessment: Assessment, left: float) -> Chart:
    last_s = max(time.end_s for time in assessment.step_times)
    drained_s = assessment.drained.high if assessment.drained else 0.0
    end_s = max(last_s, drained_s) * 1.04
    return Chart(max(end_s, time_tick(end_s)), 0.0, _most_g(plan), left)


def _hatching(plan: Plan, times: tuple[StepTime, ...], chart: Chart, uid: str) -> list[str]:
    stretches = shut_stretches(plan, times)
    if not stretches:
        return []
    parts = [
        f'<defs><pattern id="{uid}-hatch" width="6" height="6" patternUnits="userSpaceOnUse" '
        'patternTransform="rotate(45)"><path d="M0 0V6" stroke="currentColor" stroke-width="1.6" '
        'stroke-opacity=".3"/></pattern></defs>'
    ]
    word = escape(gettext("valve shut"))
    for start, end in stretches:
        left, width = chart.x(start), chart.x(end) - chart.x(start)
        parts.append(
            f'<rect class="shut" x="{left:.1f}" y="{chart.top:.0f}" width="{width:.1f}" height="{chart.plot:.0f}" '
            f'fill="url(#{uid}-hatch)" stroke="currentColor" stroke-opacity=".3"/>'
            f'<text x="{left + 1:.1f}" y="{chart.top - 7:.0f}">{word}</text>'
        )
    return parts


def _masses(most_g: float, figures: Figures) -> list[tuple[float, str]]:
    """Round masses beside the axis, the highest with its unit."""
    ounces = figures.units.mass is Mass.OUNCE
    each_g = grams_from_ounces(1) if ounces else 1.0
    step = tick(most_g / each_g, _OUNCE_STEPS if ounces else _MASS_STEPS_G, 5)
    marks = range(0, int(most_g / each_g) + 1, step)
    named = [figures.number(mark) for mark in marks[:-1]]
    named.append(figures.ounces(marks[-1]) if ounces else figures.grams(marks[-1]))
    return [(mark * each_g, name) for mark, name in zip(marks, named, strict=True)]


def _poured(plan: Plan, times: tuple[StepTime, ...], chart: Chart, figures: Figures) -> list[str]:
    """The scale as it climbs: level while nothing is poured, the reading of each target beside its step."""
    points, mass = [(0.0, 0.0)], 0.0
    dashed: list[tuple[float, float]] = []
    labels = []
    for step, time in zip(plan.steps, times, strict=False):
        if step.target_g is None:
            continue
        line = points if step.action is Action.POUR else dashed
        line += [(time.start_s, mass), (time.end_s, step.target_g)]
        mass = step.target_g
        word = figures.reading(mass)
        x = _reading_x(chart, time, word)
        labels.append(
            f'<text class="target" x="{x:.1f}" y="{chart.y(mass) - 4:.1f}" text-anchor="end" '
            f'font-weight="700">{word}</text>'
        )
    points.append((dashed[0][0] if dashed else chart.end_s, points[-1][1]))
    parts = [
        f'<polyline class="poured" points="{chart.line(points)}" fill="none" stroke="currentColor" stroke-width="2.5" '
        'stroke-linejoin="round"/>'
    ]
    if dashed:
        parts.append(
            f'<polyline class="poured" points="{chart.line([*dashed, (chart.end_s, mass)])}" fill="none" '
            'stroke="currentColor" stroke-width="2.5" stroke-dasharray="4 3"/>'
        )
    return parts + labels


def _reading_x(chart: Chart, time: StepTime, word: str) -> float:
    """Where a target ends: left of its moment, clear of the axis."""
    return max(chart.x(time.end_s) - 4, chart.left + 3 + width_of(word))


def _acts(plan: Plan, times: tuple[StepTime, ...], chart: Chart, figures: Figures) -> list[str]:
    """What is done without pouring, by the number of its step in the table."""
    on_clock = on_the_clock(plan, times).steps
    parts, free_x = [], 0.0
    for number, (step, time) in enumerate(zip(plan.steps, times, strict=False), start=1):
        if step.target_g is not None:
            # clear of the target written there
            free_x = _reading_x(chart, time, figures.reading(step.target_g)) + 12
        else:
            x, y = chart.x(time.start_s), chart.y(poured_by(on_clock, time.start_s))
            ring_x = max(x, free_x)
            free_x = ring_x + 20
            parts.append(
                f'<path d="M{x:.1f} {y:.1f}L{ring_x:.1f} {y - 6:.1f}" stroke="currentColor"/>'
                f'<circle cx="{ring_x:.1f}" cy="{y - 15:.1f}" r="9" fill="none" stroke="currentColor"/>'
                f'<text x="{ring_x:.1f}" y="{y - 10.5:.1f}" font-size="12.5" text-anchor="middle">{number}</text>'
            )
    return parts


def _drained(assessment: Assessment, chart: Chart) -> list[str]:
    """What has run into the server, as the model sees it: a thin line, since it is a prediction."""
    course = assessment.course
    if not course or course[-1].drained_g <= 0 or assessment.drained is None:
        return []
    stride = max(1, len(course) // _DRAINED_POINTS)
    seen = [(point.time_s, point.drained_g) for point in (*course[::stride], course[-1])]
    rising = [early for early, late in pairwise(seen) if late[1] > 0] + [seen[-1]]
    time, mass = rising[len(rising) * 3 // 5]
    word = escape(gettext("in the server"))
    return [
        f'<polyline class="drained" points="{chart.line(rising)}" fill="none" stroke="currentColor" '
        'stroke-width="1.3" stroke-opacity=".8"/>',
        f'<text x="{chart.x(time) + 8:.1f}" y="{chart.y(mass) + 14:.1f}" fill-opacity=".85">{word}</text>',
    ]


@dataclass(frozen=True)
class _Lane:
    """A predicted moment, drawn as a bar beneath the clock."""

    text: str
    low_s: float
    high_s: float


def _lanes(assessment: Assessment, figures: Figures, language: str) -> list[_Lane]:
    with override(language):
        named = [(gettext("first drip"), assessment.first_drip), (gettext("drained"), assessment.drained)]
    return [
        _Lane(f"{name} {figures.time_window(window)}", window.low, window.high)
        for name, window in named
        if window is not None
    ]


def _lane(lane: _Lane, row: int, chart: Chart) -> list[str]:
    y = chart.bottom + 26 + _LANE * row
    left, right = chart.x(lane.low_s), max(chart.x(lane.high_s), chart.x(lane.low_s) + 3)
    # The words stand on the side with more room.
    after = left < WIDTH / 2
    x, anchor = (right + 6, "start") if after else (left - 6, "end")
    return [
        f'<path d="M{(left + right) / 2:.1f} {chart.top:.0f}V{y:.0f}" stroke="currentColor" stroke-opacity=".45" '
        'stroke-dasharray="2 3"/>',
        f'<rect class="window" x="{left:.1f}" y="{y:.0f}" width="{right - left:.1f}" height="11" rx="1.5" '
        'fill="currentColor" fill-opacity=".28" stroke="currentColor"/>',
        f'<text x="{x:.1f}" y="{y + 10:.0f}" text-anchor="{anchor}">{escape(lane.text)}</text>',
    ]
