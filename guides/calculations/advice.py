"""After tasting: the one thing to change next.

Strength comes first, since water alone sets it; then balance, by the grind. Which way to go is common practice; how far
is what the model says moves the drained time enough to taste.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum

from .assessment import USUAL, Conditions
from .constants import (
    BYPASS_TASTE_STEP_G,
    GRIND_SHOWN_UM,
    GRIND_STEP_MOVES_S,
    JAR_GRIND_STEP_UM,
    RATIO_STEP,
)
from .dialing import drained_s, grind_for_drained
from .findings import ADVICE
from .plan import Plan
from .rounding import round_down, round_half_up, round_up
from .validity import OutOfRange, Window
from .vessel import Flow


class Strength(StrEnum):
    """How strong the cup is found."""

    WEAK = "weak"
    RIGHT = "right"
    STRONG = "strong"


class Balance(StrEnum):
    """How the cup tastes apart from its strength."""

    BALANCED = "balanced"
    SOUR_THIN = "sour_thin"
    BITTER_DRY = "bitter_dry"


@dataclass(frozen=True)
class Advice:
    """One change; ``code`` is a key of ``findings.ADVICE``, the numbers carry their units."""

    code: str
    numbers: Mapping[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if self.code not in ADVICE:
            raise KeyError(f"{self.code} is not in ADVICE")


def next_change(
    plan: Plan,
    strength: Strength,
    balance: Balance,
    *,
    conditions: Conditions = USUAL,
    measured_drained_s: float | None = None,
    window: Window | None = None,
) -> Advice:
    """Give the one thing to change after a tasting.

    Args:
        plan: the brew that was tasted.
        strength: how strong it was found.
        balance: how it tasted apart from that.
        conditions: where it was brewed, and with which coffee.
        measured_drained_s: when it had drained, if it was logged.
        window: when it should have drained.

    Returns:
        The change, with its predicted effect.

    Raises:
        OutOfRange: as for ``drawdown.simulate``.

    Valid range: as for ``drawdown.simulate``.
    Source: common practice, no source; size of the grind step from drawdown.simulate.

    >>> from .plan import Action, Step
    >>> from .vessel import Brewer, Cone
    >>> cone = Brewer(Cone(30, 10), 500, 60, Flow.OPEN)
    >>> plan = Plan(15, 240, 93, 700, cone, (Step(Action.POUR, 0, 60, 240),))
    >>> next_change(plan, Strength.WEAK, Balance.SOUR_THIN).code
    'less_water'
    >>> next_change(plan, Strength.RIGHT, Balance.SOUR_THIN).code
    'finer'
    """
    if strength is not Strength.RIGHT:
        return _water(plan, stronger=strength is Strength.WEAK)
    if balance is Balance.BALANCED:
        return Advice("keep")
    fast = measured_drained_s is not None and window is not None and measured_drained_s < window.low
    if balance is Balance.BITTER_DRY and fast and measured_drained_s is not None and window is not None:
        return Advice("pour_lower", {"drained_s": measured_drained_s, "low_s": window.low})
    return _grind(plan, conditions, finer=balance is Balance.SOUR_THIN)


def _water(plan: Plan, *, stronger: bool) -> Advice:
    if stronger and plan.bypass_g > 0:
        after_g = max(plan.bypass_g - BYPASS_TASTE_STEP_G.value, 0.0)
        return Advice("less_bypass", {"before_g": plan.bypass_g, "after_g": after_g})
    if not stronger and (plan.bypass_g > 0 or plan.bypass_to_taste):
        return Advice("more_bypass", {"before_g": plan.bypass_g, "after_g": plan.bypass_g + BYPASS_TASTE_STEP_G.value})
    step_g = RATIO_STEP.value * plan.dose_g * (-1 if stronger else 1)
    after_g = round_half_up(plan.water_g + step_g)
    return Advice("less_water" if stronger else "more_water", {"before_g": plan.water_g, "after_g": after_g})


def _grind(plan: Plan, conditions: Conditions, *, finer: bool) -> Advice:
    code = "finer" if finer else "coarser"
    if plan.brewer.flow is Flow.CLOSED:  # nothing drains: no time to predict
        after_um = plan.grind_um + JAR_GRIND_STEP_UM.value * (-1 if finer else 1)
        return Advice(code, {"before_um": plan.grind_um, "after_um": after_um})
    before_s = drained_s(plan, conditions)
    moved_s = GRIND_STEP_MOVES_S.value * (1 if finer else -1)
    try:
        found_um = grind_for_drained(plan, before_s + moved_s, conditions).grind_um
    except OutOfRange:  # no grind moves it so far: the next step that can be shown
        found_um = plan.grind_um
    shown = GRIND_SHOWN_UM.value
    after_um = (
        min(round_down(found_um, shown), plan.grind_um - shown)
        if finer
        else max(round_up(found_um, shown), plan.grind_um + shown)
    )
    return Advice(
        code,
        {
            "before_um": plan.grind_um,
            "after_um": after_um,
            "before_s": before_s,
            "after_s": drained_s(replace(plan, grind_um=after_um), conditions),
        },
    )
