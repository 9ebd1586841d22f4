"""What differs between a guide and the reader's plan, figure by figure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from .adaptation import Change, Confidence
from .plan import Plan
from .validity import Window

_UNITS = {
    "dose_g": "g",
    "water_g": "g",
    "bypass_g": "g",
    "ice_g": "g",
    "kettle_c": "degrees C",
    "grind_um": "um",
    "usable_ml": "mL",
    "cup_g": "g",
    "first_drip_s": "s",
    "drained_s": "s",
}
_SMALLEST = 0.05  # nothing smaller is shown anywhere


@dataclass(frozen=True)
class Why:
    """Reason and confidence of a change."""

    reason: str
    confidence: Confidence = Confidence.EXACT


@dataclass(frozen=True)
class Expected:
    """What a plan is predicted to give: cup in g, first drip and drained in clock seconds."""

    cup_g: Window | None = None
    first_drip: Window | None = None
    drained: Window | None = None


@dataclass
class Reasons:
    """Why each figure changes; what is not named follows the dose."""

    why: dict[str, Why] = field(default_factory=dict)

    def because(self, code: str, reason: str, confidence: Confidence = Confidence.EXACT) -> None:
        """Name the reason for a figure; the last one named stands."""
        self.why[code] = Why(reason, confidence)

    def of(self, code: str) -> Why:
        """The reason for a figure."""
        return self.why.get(code, Why("scaled"))


def list_changes(guide: Plan, plan: Plan, reasons: Reasons, before: Expected, after: Expected) -> tuple[Change, ...]:
    """List every figure that differs, the ingredients first, then the steps, then what to expect.

    Args:
        guide: the plan as published.
        plan: the plan for the reader, step by step the same.
        reasons: why each figure changes.
        before: what the guide is predicted to give.
        after: what the reader's plan is predicted to give.

    Returns:
        Changes in the order a reader meets them.

    Source: definition.

    >>> from .vessel import Brewer, Cone, Flow
    >>> cone = Brewer(Cone(30, 10), 500, 60, Flow.OPEN)
    >>> guide, plan = Plan(15, 240, 93, 700, cone, ()), Plan(30, 480, 93, 700, cone, ())
    >>> [change.code for change in list_changes(guide, plan, Reasons(), Expected(), Expected())]
    ['dose_g', 'water_g']
    """
    return (*_ingredients(guide, plan, reasons), *_steps(guide, plan, reasons), *_expected(reasons, before, after))


def _ingredients(guide: Plan, plan: Plan, reasons: Reasons) -> Iterator[Change]:
    figures: Mapping[str, tuple[float, float]] = {
        "usable_ml": (guide.brewer.usable_ml, plan.brewer.usable_ml),
        "dose_g": (guide.dose_g, plan.dose_g),
        "water_g": (guide.water_g, plan.water_g),
        "bypass_g": (guide.bypass_g, plan.bypass_g),
        "ice_g": (guide.ice_g, plan.ice_g),
        "kettle_c": (guide.kettle_c, plan.kettle_c),
        "grind_um": (guide.grind_um, plan.grind_um),
    }
    for code, (old, new) in figures.items():
        if abs(new - old) >= _SMALLEST:
            why = reasons.of(code)
            yield Change(code, old, new, _UNITS[code], why.reason, why.confidence)


def _steps(guide: Plan, plan: Plan, reasons: Reasons) -> Iterator[Change]:
    for index, (old, new) in enumerate(zip(guide.steps, plan.steps, strict=True)):
        if old.target_g is not None and new.target_g is not None and abs(new.target_g - old.target_g) >= _SMALLEST:
            first = reasons.why.get(f"step {index}") or Why(
                reasons.of("water_g").reason if plan.water_g != guide.water_g else "scaled"
            )
            yield Change("step_target_g", old.target_g, new.target_g, "g", first.reason, first.confidence, index)
        if abs(new.end_s - old.end_s) >= _SMALLEST:
            yield Change("step_time_s", old.end_s, new.end_s, "s", "pour_rate", Confidence.RULE_OF_THUMB, index)


def _expected(reasons: Reasons, before: Expected, after: Expected) -> Iterator[Change]:
    pairs = {
        "cup_g": (before.cup_g, after.cup_g),
        "first_drip_s": (before.first_drip, after.first_drip),
        "drained_s": (before.drained, after.drained),
    }
    for code, (old, new) in pairs.items():
        if new is not None and (old is None or abs(new.likely - old.likely) >= _SMALLEST):
            likely = None if old is None else old.likely
            yield Change(code, likely, new.likely, _UNITS[code], "predicted", Confidence.PREDICTED)
