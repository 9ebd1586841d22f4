"""The steps of a plan in words: when, what to do, what the scale shows."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.text import capfirst
from django.utils.translation import gettext, ngettext

from guides import choices
from guides.calculations.plan import Action, Anchor, Height, Plan, Step
from guides.calculations.rounding import to_five_seconds
from guides.calculations.timeline import StepTime
from guides.lifecycle.snapshot import StepWords

from . import simple
from .numbers import Figures, clock_span
from .sheet import SheetStep

_EVENTS = (Anchor.FIRST_DRIP, Anchor.DRAINED)


def steps(
    plan: Plan, times: tuple[StepTime, ...], words: tuple[StepWords, ...], figures: Figures
) -> Iterator[SheetStep]:
    """Give the rows of the cumulative table, in the language that is active."""
    for index, (step, time) in enumerate(zip(plan.steps, times, strict=True)):
        said = words[index] if index < len(words) else StepWords()
        yield SheetStep(
            number=index + 1,
            action=_named(step.action),
            clock=when(step, time, figures),
            about=time.predicted and step.anchor not in _EVENTS,
            target="" if step.target_g is None else figures.grams(step.target_g),
            act=act(plan, step, figures),
            simple=said.simple,
            in_depth=said.in_depth,
            why=said.why,
            start_s=time.start_s,
            end_s=time.end_s,
            target_g=step.target_g,
            plain=simple.words(plan, step),
        )


def when(step: Step, time: StepTime, figures: Figures) -> str:
    """Say when a step happens: on the clock, or at the event it waits for."""
    if step.anchor in _EVENTS:
        event = gettext("first drip") if step.anchor is Anchor.FIRST_DRIP else gettext("drained")
        if step.start_s < 1:
            return event
        return gettext("%(seconds)s after: %(event)s") % {"seconds": figures.seconds(step.start_s), "event": event}
    if time.predicted:
        return clock_span(to_five_seconds(time.start_s), to_five_seconds(time.end_s))
    return clock_span(time.start_s, time.end_s)


def act(plan: Plan, step: Step, figures: Figures) -> str:
    """Say what to do, verb first, with its number."""
    match step.action:
        case Action.POUR:
            return _pour(step, figures)
        case Action.STIR if step.turns:
            return ngettext("Stir one turn", "Stir %(n)d turns", step.turns) % {"n": step.turns}
        case Action.SWIRL if step.turns:
            return ngettext("Swirl once", "Swirl %(n)d times", step.turns) % {"n": step.turns}
        case Action.ADD_BYPASS:
            mass = {"mass": figures.grams(plan.bypass_g)}
            if plan.bypass_to_taste:
                return gettext("Add hot water to the cup, to taste: up to %(mass)s") % mass
            return gettext("Add %(mass)s of hot water to the cup") % mass
        case action:
            return _named(action)


def how(step: Step) -> str:
    """Say how a pour is led: its path and the kettle's height; empty where nothing is said of them."""
    parts = [] if step.path is None else [str(choices.Path(step.path.value).label)]
    if step.height is not None:
        parts.append(_height(step.height))
    return ", ".join(parts)


def _pour(step: Step, figures: Figures) -> str:
    poured = gettext("Pour to %(mass)s") % {"mass": figures.grams(step.target_g or 0.0)}
    return ", ".join(part for part in (poured, how(step)) if part)


def _height(height: Height) -> str:
    return {
        Height.LOW: gettext("kettle low"),
        Height.MEDIUM: gettext("kettle at medium height"),
        Height.HIGH: gettext("kettle high"),
    }[height]


def _named(action: Action) -> str:
    return str(capfirst(choices.Action(action.value).label))
