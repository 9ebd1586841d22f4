"""The path of the stream from above, and how high the kettle is held."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from django.utils.translation import gettext, override

from guides import choices
from guides.calculations.plan import Action, Height, Path, Plan, Step
from guides.calculations.timeline import StepTime
from guides.calculations.wetting import rim_dry_after
from guides.presenters.numbers import Figures, clock_span
from guides.presenters.units import METRIC, Units

from .canvas import stroke, svg, text, wrapped

_X, _Y, _RIM = 66.0, 66.0, 54.0
_HEIGHT, _WORDS, _ROOM, _LINE = 132.0, 196.0, 200.0, 18.0
_TURN = 8.0  # the spiral grows by this with every half turn
_KETTLE = {Height.LOW: 96.0, Height.MEDIUM: 66.0, Height.HIGH: 36.0}
_BED = 120.0


def pour_path_drawing(
    plan: Plan, index: int, times: Sequence[StepTime], language: str, *, uid: str = "path", units: Units = METRIC
) -> str:
    """Draw one pour from above.

    Args:
        plan: the brew.
        index: which of its steps, from 0.
        times: clock seconds of the steps.
        language: of the words in the drawing.
        uid: leads the ids inside, so that two drawings may share a page.
        units: the reader's.

    Returns:
        One ``<svg>`` element, titled and described; empty for a step that pours nothing, or says neither path nor
        height.
    """
    step = plan.steps[index]
    if step.action is not Action.POUR or (step.path is None and step.height is None):
        return ""
    dry = rim_dry_after(plan, index)
    with override(language):
        lines = [line for words in _words(step, dry) for line in wrapped(words, _ROOM)]
        heading = _heading(step, times[index], Figures(language, units))
        top = _Y - _LINE * len(lines) / 2
        parts = [
            f'<circle cx="{_X:.0f}" cy="{_Y:.0f}" r="{_RIM:.0f}" fill="none" stroke="currentColor" stroke-width="2"/>',
            *(_dry_rim() if dry else ()),
            *(_path(step.path) if step.path else ()),
            *(_kettle(step.height) if step.height else ()),
            text(_WORDS, top, heading, bold=True),
            *(text(_WORDS, top + _LINE * row, line) for row, line in enumerate(lines, start=1)),
        ]
        title = gettext("The pour from above: %(pour)s") % {"pour": heading}
        return svg(uid, title, ", ".join(_words(step, dry)), _HEIGHT, parts)


def pour_path_drawings(
    plan: Plan, times: Sequence[StepTime], language: str, *, uid: str = "path", units: Units = METRIC
) -> tuple[str, ...]:
    """Draw every pour of a plan that says how it is poured, in order."""
    drawn = (
        pour_path_drawing(plan, index, times, language, uid=f"{uid}-{index + 1}", units=units)
        for index in range(min(len(plan.steps), len(times)))
    )
    return tuple(each for each in drawn if each)


def _heading(step: Step, time: StepTime, figures: Figures) -> str:
    return gettext("%(times)s, to %(mass)s") % {
        "times": clock_span(time.start_s, time.end_s),
        "mass": figures.grams(step.target_g or 0.0),
    }


def _words(step: Step, dry: bool) -> list[str]:
    words = [] if step.path is None else [str(choices.Path(step.path.value).label)]
    if step.height is not None:
        words.append(
            {
                Height.LOW: gettext("kettle low"),
                Height.MEDIUM: gettext("kettle at medium height"),
                Height.HIGH: gettext("kettle high"),
            }[step.height]
        )
    return [*words, gettext("the rim stays dry")] if dry else words


def _dry_rim() -> list[str]:
    """Dots where no water comes."""
    return [
        f'<circle class="dry" cx="{_X:.0f}" cy="{_Y:.0f}" r="{_RIM - 9:.0f}" fill="none" stroke="currentColor" '
        'stroke-width="6" stroke-linecap="round" stroke-dasharray="0 9.42"/>'
    ]


def _path(path: Path) -> list[str]:
    match path:
        case Path.CENTRE:
            return [
                f'<circle class="poured" cx="{_X:.0f}" cy="{_Y:.0f}" r="9" fill="none" stroke="currentColor" '
                'stroke-width="2.5"/>',
                f'<circle cx="{_X:.0f}" cy="{_Y:.0f}" r="3"/>',
            ]
        case Path.RIM:
            r = _RIM - 12
            circle = f"M{_X + r:.0f} {_Y:.0f}A{r:.0f} {r:.0f} 0 1 1 {_X + r - 3:.0f} {_Y - 15:.0f}"
            return [stroke(circle, width=2.5, kind="poured"), _head(_X + r - 3, _Y - 15, down=True)]
    ends = [0.0]
    while abs(ends[-1]) + _TURN < _RIM - 6:
        ends.append(-ends[-1] + (_TURN if ends[-1] <= 0 else -_TURN))
    if path is Path.SPIRAL_IN:
        ends.reverse()
    sweep = 1 if path is Path.SPIRAL_OUT else 0
    d = f"M{_X + ends[0]:.0f} {_Y:.0f}"
    for here, there in pairwise(ends):
        radius = abs(there - here) / 2
        d += f"A{radius:g} {radius:g} 0 0 {sweep} {_X + there:.0f} {_Y:.0f}"
    rises = (ends[-1] < ends[-2]) == (sweep == 1)
    return [
        stroke(d, width=2.5, kind="poured"),
        f'<circle cx="{_X + ends[0]:.0f}" cy="{_Y:.0f}" r="4"/>',
        _head(_X + ends[-1], _Y, down=not rises),
    ]


def _head(x: float, y: float, *, down: bool) -> str:
    """An arrow's head that points where the stream goes."""
    return stroke(f"M{x - 5:.0f} {y - 5 if down else y + 5:.0f}l5 {6 if down else -6} 5 {-6 if down else 6}", width=2.5)


def _kettle(height: Height) -> list[str]:
    """The spout over the bed, at one of three marks."""
    x, y = 152.0, _KETTLE[height]
    marks = "".join(f"M{x + 16:.0f} {mark:.0f}h6" for mark in _KETTLE.values())
    return [
        stroke(f"M{x - 16:.0f} {_BED:.0f}h38{marks}", opacity=".6"),
        stroke(f"M{x:.0f} {y + 4:.0f}V{_BED - 2:.0f}", width=1.5, dash="4 3"),
        f'<path d="M{x - 20:.0f} {y - 10:.0f}l20 8v6l-20 -4z" fill="currentColor"/>',
    ]
