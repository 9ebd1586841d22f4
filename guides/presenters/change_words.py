"""What changed between a guide and a reader's own, in words: the figure, by how much, why, and how sure."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import groupby
from typing import Final

from django.utils.translation import gettext, gettext_noop

from guides.calculations.adaptation import Change, Confidence

from .numbers import Figures, clock
from .sheet import SheetChange

_FIGURES: Final[dict[str, str]] = {
    "dose_g": gettext_noop("Coffee"),
    "water_g": gettext_noop("Water through the coffee"),
    "bypass_g": gettext_noop("Water in the cup"),
    "ice_g": gettext_noop("Ice"),
    "cup_g": gettext_noop("In the cup"),
    "kettle_c": gettext_noop("Kettle"),
    "grind_um": gettext_noop("Grind"),
    "grinder_setting": gettext_noop("Your grinder"),
    "step_target_g": gettext_noop("Scale shows"),
    "step_time_s": gettext_noop("Pour ends"),
    "first_drip_s": gettext_noop("First drip"),
    "drained_s": gettext_noop("Drained"),
    "usable_ml": gettext_noop("The brewer holds"),
    "tap_share": gettext_noop("Tap water in the kettle"),
}
_REASONS: Final[dict[str, str]] = {
    "asked_dose": gettext_noop("the dose you asked for"),
    "asked_cup": gettext_noop("the cups you asked for"),
    "fills_brewer": gettext_noop("as much as the brewer holds, with a little room left"),
    "finishes_bag": gettext_noop("finishes your bag in equal brews"),
    "scaled": gettext_noop("follows the coffee, at the same ratio"),
    "pour_rate": gettext_noop("keeps the stream as gentle as in the guide"),
    "fits_shut": gettext_noop("what fits above the shut valve; the rest goes into the cup"),
    "fits": gettext_noop("what the brewer holds; the rest goes into the cup"),
    "boils_lower": gettext_noop("water boils lower where you are"),
    "cooler_water": gettext_noop("finer, so that cooler water stays with the coffee a little longer"),
    "own_brewer": gettext_noop("your brewer"),
    "other_brewer": gettext_noop("another brewer drains differently; this grind brings the time back"),
    "other_dose": gettext_noop("a deeper or shallower bed drains differently; this grind makes up for it"),
    "grinder_table": gettext_noop("from your grinder's measured points; start here, correct by the drained time"),
    "grinder_click": gettext_noop("the nearest click of your grinder"),
    "predicted": gettext_noop("what the changed brew is expected to do"),
    "more_gas": gettext_noop("your bag is fresher than the guide's: a larger first pour lets the gas out"),
    "water_blend": gettext_noop("the rest soft or distilled water, so that it comes near the water of the guide"),
}
_SURE: Final[dict[Confidence, str]] = {
    Confidence.EXACT: gettext_noop("arithmetic"),
    Confidence.PREDICTED: gettext_noop("prediction"),
    Confidence.RULE_OF_THUMB: gettext_noop("rule of thumb"),
}
_MORE: Final[dict[str, tuple[str, str]]] = {
    "g": (gettext_noop("%(much)s more"), gettext_noop("%(much)s less")),
    "mL": (gettext_noop("%(much)s more"), gettext_noop("%(much)s less")),
    "um": (gettext_noop("%(much)s coarser"), gettext_noop("%(much)s finer")),
    "degrees C": (gettext_noop("%(much)s hotter"), gettext_noop("%(much)s cooler")),
    "s": (gettext_noop("%(much)s later"), gettext_noop("%(much)s earlier")),
}
_SHOWN: Final[dict[str, Callable[[Figures, float], str]]] = {
    "g": Figures.grams,
    "mL": Figures.millilitres,
    "um": Figures.micrometres,
    "degrees C": Figures.celsius,
    "s": lambda _figures, value: clock(value),
    "": lambda figures, value: figures.number(value, 2),
    "1": lambda figures, value: figures.percent(value, 0),
}
_APART: Final[dict[str, Callable[[Figures, float], str]]] = {
    **_SHOWN,
    "degrees C": Figures.kelvin,
    "s": Figures.seconds,
}


def rows(changes: Sequence[Change], figures: Figures) -> Iterator[SheetChange]:
    """Say every change, in the language that is active; steps that change alike share a row."""
    for (_code, _reason, _sure, is_step), group in groupby(changes, key=_alike):
        alike = list(group)
        yield _steps(alike, figures) if is_step else _one(alike[0], figures)


def codes() -> tuple[frozenset[str], frozenset[str]]:
    """Changes and reasons that have words."""
    return frozenset(_FIGURES), frozenset(_REASONS)


def _alike(change: Change) -> tuple[str, str, Confidence, bool]:
    return change.code, change.reason, change.confidence, change.step is not None


def _one(change: Change, figures: Figures) -> SheetChange:
    foreseen = change.reason == "predicted"  # a figure to expect, never to weigh out

    def show(value: float) -> str:
        return (
            figures.about(_shown(figures, change.unit, round(value)))
            if foreseen
            else _shown(figures, change.unit, value)
        )

    by = ""
    if change.before is not None and change.unit in _MORE:
        more, less = _MORE[change.unit]
        much = abs(change.after - change.before)
        words = gettext(more if change.after > change.before else less)
        by = words % {"much": _APART[change.unit](figures, round(much) if foreseen else much)}
    return SheetChange(
        code=change.code,
        what=gettext(_FIGURES[change.code]),
        before="" if change.before is None else show(change.before),
        after=show(change.after),
        by=by,
        why=gettext(_REASONS[change.reason]),
        sure=gettext(_SURE[change.confidence]),
    )


def _shown(figures: Figures, unit: str, value: float) -> str:
    return _SHOWN[unit](figures, value)


def _steps(changes: Sequence[Change], figures: Figures) -> SheetChange:
    """Targets or times of several steps, in the order of the steps."""
    first, show = changes[0], _SHOWN[changes[0].unit]
    numbers = ", ".join(str((change.step or 0) + 1) for change in changes)
    figure = gettext(_FIGURES[first.code])
    what = gettext("%(what)s, step %(numbers)s") % {"what": figure, "numbers": numbers}
    return SheetChange(
        code=first.code,
        what=what,
        before=", ".join(show(figures, change.before) for change in changes if change.before is not None),
        after=", ".join(show(figures, change.after) for change in changes),
        by="",
        why=gettext(_REASONS[first.reason]),
        sure=gettext(_SURE[first.confidence]),
    )
