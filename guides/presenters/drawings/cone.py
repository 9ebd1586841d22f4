"""The brewer from the side: its own shape, paper, grounds, valve, usable line, and the water at a moment."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext, override

from guides.calculations.assessment import Assessment
from guides.calculations.plan import Plan
from guides.calculations.section import Standing, standing_at, standings, usable_mm, wall
from guides.calculations.vessel import Flow
from guides.presenters.numbers import Figures, clock
from guides.presenters.units import METRIC, Units

from .canvas import spread, stroke, svg, text

_TOP, _TALL, _WIDE, _CENTRE, _FOOT = 12.0, 180.0, 210.0, 112.0, 46.0
_LABELS, _LINE = 240.0, 17.0
_BRIM = 1.12  # the wall goes on above the usable line


@dataclass(frozen=True)
class ConeCourse:
    """A brewer to follow: ``svg``, and moments of (clock second, y of the water, y of the grounds, runs off).

    A script sets the two y as they are on the elements marked ``data-part="water"`` and ``data-part="bed"``, and shows
    ``data-part="open"`` or ``data-part="shut"``; between two moments the earlier one holds.
    """

    svg: str
    moments: tuple[tuple[float, float, float, bool], ...]


@dataclass(frozen=True)
class _Section:
    """The vessel on the drawing: ``outline`` is its right-hand wall as (height, half width), from the outlet up."""

    outline: tuple[tuple[float, float], ...]
    scale: float
    bottom: float
    usable_mm: float

    def y(self, mm: float) -> float:
        return self.bottom - mm * self.scale

    def half(self, mm: float) -> float:
        """Half the inner width at a height, in the drawing's units."""
        for (low, narrow), (high, wide) in zip(self.outline, self.outline[1:], strict=False):
            if mm <= high:
                return (narrow + (wide - narrow) * (mm - low) / (high - low)) * self.scale
        return self.outline[-1][1] * self.scale


def cone_drawing(
    plan: Plan,
    assessment: Assessment,
    language: str,
    *,
    at_s: float | None = None,
    uid: str = "cone",
    units: Units = METRIC,
) -> str:
    """Draw the brewer at a moment.

    Args:
        plan: the brew.
        assessment: what the calculation room says about it.
        language: of the words in the drawing.
        at_s: clock seconds; ``None`` for the moment it is fullest.
        uid: leads the ids inside, so that two drawings may share a page.
        units: the reader's.

    Returns:
        One ``<svg>`` element, titled and described; empty for a plan that cannot be simulated.
    """
    if not assessment.course:
        return ""
    section, figures = _section(plan), Figures(language, units)
    fullest = at_s is None
    time_s = assessment.peak_at_s if at_s is None else at_s
    seen = standing_at(plan, assessment.step_times, assessment.course, time_s)
    with override(language):
        parts = [*_vessel(plan, section, seen, uid), *_outlet(plan, section, seen)]
        parts += _labels(plan, section, seen, figures)
        return svg(uid, _title(time_s, fullest), _said(plan, section, seen, figures), section.bottom + _FOOT, parts)


def cone_course(
    plan: Plan, assessment: Assessment, language: str, *, every_s: float = 2.0, uid: str = "cone", units: Units = METRIC
) -> ConeCourse | None:
    """Draw the brewer before the first pour, with the numbers that let a script follow the brew.

    Args:
        plan: the brew.
        assessment: what the calculation room says about it.
        language: of the words in the drawing.
        every_s: seconds between two moments.
        uid: leads the ids inside, so that two drawings may share a page.
        units: the reader's.

    Returns:
        The drawing and its moments; ``None`` for a plan that cannot be simulated.
    """
    seen = standings(plan, assessment.step_times, assessment.course, every_s)
    if not seen:
        return None
    section, figures, start = _section(plan), Figures(language, units), seen[0]
    with override(language):
        parts = [*_vessel(plan, section, start, uid), *_both_ways_out(plan, section, start)]
        parts += _label(section, section.usable_mm, section.y(section.usable_mm), _line_words(plan, figures))
        title = gettext("The brewer from the side, as the water stands while you brew")
        drawn = svg(uid, title, _said(plan, section, start, figures), section.bottom + _FOOT, parts)
    moments = (
        (moment.time_s, round(section.y(moment.water_mm), 1), round(section.y(moment.bed_mm), 1), moment.is_open)
        for moment in seen
    )
    return ConeCourse(drawn, tuple(moments))


def _section(plan: Plan) -> _Section:
    line_mm = usable_mm(plan.brewer)
    outline = wall(plan.brewer.shape, line_mm * _BRIM)
    scale = min(_TALL / (line_mm * _BRIM), _WIDE / 2 / max(radius for _, radius in outline))
    return _Section(outline, scale, _TOP + line_mm * _BRIM * scale, line_mm)


def _title(time_s: float, fullest: bool) -> str:
    moment = {"time": clock(time_s)}
    if fullest:
        return gettext("The brewer from the side at %(time)s, when it is fullest") % moment
    return gettext("The brewer from the side at %(time)s") % moment


def _said(plan: Plan, section: _Section, seen: Standing, figures: Figures) -> str:
    said = gettext("At %(time)s the water stands %(water)s above the outlet; the usable line is at %(line)s.") % {
        "time": clock(seen.time_s),
        "water": figures.millimetres(seen.water_mm),
        "line": figures.millimetres(section.usable_mm),
    }
    valve = _valve_words(plan, seen.is_open)
    return f"{said} {valve[:1].upper()}{valve[1:]}." if valve else said


def _valve_words(plan: Plan, is_open: bool) -> str:
    if plan.brewer.flow is not Flow.VALVE:
        return ""
    return gettext("valve open") if is_open else gettext("valve shut")


def _line_words(plan: Plan, figures: Figures) -> str:
    return gettext("usable line, %(volume)s") % {"volume": figures.millilitres(plan.brewer.usable_ml)}


def _vessel(plan: Plan, section: _Section, seen: Standing, uid: str) -> list[str]:
    """Water and grounds, cut to the vessel's inside, then wall, paper and usable line over them."""
    right = [(_CENTRE + radius * section.scale, section.y(height)) for height, radius in section.outline]
    left = [(2 * _CENTRE - x, y) for x, y in reversed(right)]
    inside = "L".join(f"{x:.1f} {y:.1f}" for x, y in [*right, *left])
    walls = "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in left)
    walls += ("L" if plan.brewer.flow is Flow.CLOSED else "M") + "L".join(f"{x:.1f} {y:.1f}" for x, y in right)
    deep = section.bottom - _TOP + 4
    edge = section.half(section.usable_mm)
    line_y = section.y(section.usable_mm)
    return [
        f'<defs><clipPath id="{uid}-in"><path d="M{inside}Z"/></clipPath>'
        f'<pattern id="{uid}-bed" width="5" height="5" patternUnits="userSpaceOnUse">'
        '<circle cx="1.5" cy="1.5" r="1.1"/><circle cx="4" cy="4" r=".8"/></pattern></defs>',
        f'<g clip-path="url(#{uid}-in)">'
        f'<rect class="water" data-part="water" x="0" y="{section.y(seen.water_mm):.1f}" width="230" '
        f'height="{deep:.0f}" fill-opacity=".16" stroke="currentColor" stroke-width="1.5"/>'
        f'<rect data-part="bed" x="0" y="{section.y(seen.bed_mm):.1f}" width="230" height="{deep:.0f}" '
        f'fill="url(#{uid}-bed)" fill-opacity=".7"/></g>',
        stroke(walls, width=2.5),
        *([] if plan.brewer.flow is Flow.CLOSED else [_paper(section)]),
        stroke(f"M{_CENTRE - edge:.1f} {line_y:.1f}H{_CENTRE + edge:.1f}", dash="6 4", kind="usable"),
    ]


def _paper(section: _Section) -> str:
    """A line inside the wall, and over the way out."""
    right = [
        (_CENTRE + max(radius * section.scale - 4, 0), section.y(height) - (3 if height == 0 else 0))
        for height, radius in section.outline
    ]
    left = [(2 * _CENTRE - x, y) for x, y in reversed(right)]
    return stroke("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in [*left, *right]), opacity=".6", kind="paper")


def _outlet(plan: Plan, section: _Section, seen: Standing) -> list[str]:
    if plan.brewer.flow is Flow.CLOSED:
        return []
    if plan.brewer.flow is Flow.OPEN:
        return [_drops(section.bottom + 8)]
    parts = [_base(section), _turn(section, seen.is_open)]
    return [*parts, _drops(section.bottom + 28)] if seen.is_open else parts


def _both_ways_out(plan: Plan, section: _Section, start: Standing) -> list[str]:
    """Valve shut and valve open, one of them not displayed."""
    if plan.brewer.flow is not Flow.VALVE:
        return _outlet(plan, section, start)
    parts = [_base(section)]
    for is_open, name in ((False, "shut"), (True, "open")):
        hidden = "" if is_open is start.is_open else ' display="none"'
        drops = _drops(section.bottom + 28) if is_open else ""
        words = text(_LABELS, section.bottom + 20, _valve_words(plan, is_open), bold=True)
        parts.append(f'<g data-part="{name}"{hidden}>{_turn(section, is_open)}{drops}{words}</g>')
    return parts


def _base(section: _Section) -> str:
    return (
        f'<rect x="{_CENTRE - 26:.0f}" y="{section.bottom + 3:.1f}" width="52" height="22" rx="3" fill="none" '
        'stroke="currentColor"/>'
    )


def _turn(section: _Section, is_open: bool) -> str:
    """The bore of the valve, along the flow or across it."""
    y = section.bottom + 14
    bore = f"M{_CENTRE:.0f} {y - 8:.1f}v16" if is_open else f"M{_CENTRE - 8:.0f} {y:.1f}h16"
    return f'<circle cx="{_CENTRE:.0f}" cy="{y:.1f}" r="8" fill="none" stroke="currentColor"/>' + stroke(bore, width=4)


def _drops(y: float) -> str:
    return stroke(f"M{_CENTRE:.0f} {y:.1f}v14", width=3, dash="3 3")


def _labels(plan: Plan, section: _Section, seen: Standing, figures: Figures) -> list[str]:
    """Names at the right, each led to its place; those that would touch move apart."""
    named = [
        (section.usable_mm, _line_words(plan, figures), False),
        (seen.water_mm, gettext("water at %(time)s") % {"time": clock(seen.time_s)}, True),
        (seen.bed_mm * 0.55, gettext("grounds"), False),
    ]
    if plan.brewer.flow is not Flow.CLOSED:
        named.append((section.usable_mm * _BRIM * 0.98, gettext("paper"), False))
    if valve := _valve_words(plan, seen.is_open):
        named.append((-14 / section.scale, valve, True))
    named.sort(key=lambda each: -each[0])
    places = spread([section.y(mm) for mm, _, _ in named], _LINE, _TOP, section.bottom + _FOOT - 8)
    parts = []
    for (mm, words, bold), place in zip(named, places, strict=True):
        parts += _label(section, mm, place, words, bold=bold)
    return parts


def _label(section: _Section, mm: float, y: float, words: str, *, bold: bool = False) -> list[str]:
    edge = _CENTRE + (26 if mm < 0 else section.half(mm))
    lead = stroke(f"M{edge + 3:.1f} {section.y(mm):.1f}L{_LABELS - 16:.0f} {y:.1f}h10", opacity=".5")
    return [lead, text(_LABELS, y + 5, words, bold=bold)]
