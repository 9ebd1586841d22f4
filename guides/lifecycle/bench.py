"""A coffee in a brewer at the bench: its brews, what they teach together, and the windows that narrow with them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from guides.calculations.drain_curve import DrainCurve, drain_curve
from guides.calculations.learnt_flow import is_outlier, new_brew_factor
from guides.calculations.plan import Plan
from guides.calculations.retention import retention_window
from guides.calculations.validity import OutOfRange, Window
from guides.calculations.vessel import Flow
from guides.models import Lot, TrialBrew
from guides.queries import evidence

from . import learning
from .brewed_plan import NoPlan, brewed_plan


@dataclass(frozen=True)
class Bench:
    """``brews`` are all there are, oldest first; those in ``far_off``, by their keys, lie far from the others.

    ``lot`` is the newest that was brewed. ``factor`` and ``retention`` foresee its next brew, from the brews that
    count. ``curve`` puts flow factors on the clock of ``plan``, that of the last brew; both ``None`` where nothing
    drains or no plan is known.
    """

    brews: tuple[TrialBrew, ...]
    lot: Lot | None
    factor: Window
    retention: Window
    far_off: frozenset[int]
    plan: Plan | None
    curve: DrainCurve | None

    @property
    def counted(self) -> tuple[TrialBrew, ...]:
        """Brews that taught a flow factor and are not set aside, oldest first."""
        return tuple(brew for brew in self.brews if brew.flow_factor is not None and not brew.is_set_aside)

    def drained(self, factor: Window) -> Window | None:
        """Give a window of flow factors as drained times of the plan, in clock seconds."""
        if self.curve is None:
            return None
        low, likely, high = (self.curve.at(each) for each in (factor.high, factor.likely, factor.low))
        return Window(low, likely, high, factor.trials)

    def narrowing(self) -> tuple[Window, ...]:
        """Give the window for the next brew of the newest lot after no brew, one, two and so on."""
        if self.lot is None:
            return ()
        found = [new_brew_factor()]
        lots: dict[int, list[float]] = {}
        for brew in self.counted:
            lots.setdefault(brew.lot_id, []).append(brew.flow_factor or 1.0)
            found.append(_next(lots, self.lot.pk))
        return tuple(window for factor in found if (window := self.drained(factor)) is not None)


def of(coffee: int, brewer: int) -> Bench:
    """Give the bench of a coffee in a brewer, both by their keys."""
    brews = tuple(learning.learnt(list(evidence.of_pair(coffee, brewer))))
    counted = [brew for brew in brews if not brew.is_set_aside]
    newest = max((brew.lot for brew in brews), key=lambda lot: (lot.roasted_on, lot.pk), default=None)
    factors = {pk: list(learning.flow_factors(rows)) for pk, rows in learning.by_lot(counted).items()}
    retention = retention_window(learning.retentions(counted))
    plan = _last_plan(brews)
    curve = None if plan is None or plan.brewer.flow is Flow.CLOSED else _curve(plan, retention.likely)
    factor = _next(factors, newest.pk) if newest else new_brew_factor()
    return Bench(brews, newest, factor, retention, frozenset(_far_off(counted, factors)), plan, curve)


def _next(lots: dict[int, list[float]], lot: int) -> Window:
    return new_brew_factor(lots.get(lot, ()), [factors for key, factors in lots.items() if key != lot])


def _far_off(brews: Sequence[TrialBrew], lots: dict[int, list[float]]) -> list[int]:
    """Keys of brews that the others would not have foreseen."""
    found = []
    for brew in brews:
        if brew.flow_factor is None:
            continue
        own = list(lots[brew.lot_id])
        own.remove(brew.flow_factor)
        others = [factors for key, factors in lots.items() if key != brew.lot_id]
        if (own or any(others)) and is_outlier(brew.flow_factor, own, others):
            found.append(brew.pk)
    return found


def _last_plan(brews: Sequence[TrialBrew]) -> Plan | None:
    for brew in reversed(brews):
        if brew.planned is None and not brew.pours:
            continue
        whole = evidence.whole(TrialBrew.objects.filter(pk=brew.pk)).get()
        try:
            return brewed_plan(whole)
        except (OutOfRange, NoPlan):
            continue
    return None


@lru_cache(maxsize=32)  # a pure function of frozen values
def _curve(plan: Plan, retention_g_g: float) -> DrainCurve | None:
    try:
        return drain_curve(plan, retention_g_g=retention_g_g)
    except OutOfRange:
        return None
