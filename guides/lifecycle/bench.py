"""A coffee in a brewer at the bench: its brews, what they teach together, and the windows that narrow with them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from guides.calculations.drain_curve import DrainCurve, drain_curve
from guides.calculations.learnt_flow import narrowing, outliers
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

    ``lot`` is the newest that was brewed. ``factors`` foresee its next brew after none, one, two and so on of the brews
    that count, ``retention`` after all of them. ``curve`` puts flow factors on the clock of ``plan``, that of the last
    brew; both ``None`` where nothing drains or no plan is known.
    """

    brews: tuple[TrialBrew, ...]
    lot: Lot | None
    factors: tuple[Window, ...]
    retention: Window
    far_off: frozenset[int]
    plan: Plan | None
    curve: DrainCurve | None

    @property
    def factor(self) -> Window:
        """What all the brews that count foresee of the next one."""
        return self.factors[-1]

    @property
    def counted(self) -> tuple[TrialBrew, ...]:
        """Brews that taught a flow factor and are not set aside, oldest first."""
        return _counted(self.brews)

    def drained(self, factor: Window) -> Window | None:
        """Give a window of flow factors as drained times of the plan, in clock seconds."""
        if self.curve is None:
            return None
        low, likely, high = (self.curve.at(each) for each in (factor.high, factor.likely, factor.low))
        return Window(low, likely, high, factor.trials)

    def narrowing(self) -> tuple[Window, ...]:
        """Give ``factors`` as drained times."""
        return tuple(window for factor in self.factors if (window := self.drained(factor)) is not None)


def of(coffee: int, brewer: int) -> Bench:
    """Give the bench of a coffee in a brewer, both by their keys."""
    brews = tuple(learning.learnt(list(evidence.of_pair(coffee, brewer))))
    counted = _counted(brews)
    newest = max((brew.lot for brew in brews), key=lambda lot: (lot.roasted_on, lot.pk), default=None)
    taught = [(brew.lot_id, factor) for brew, factor in zip(counted, learning.flow_factors(counted), strict=True)]
    factors = narrowing(taught, newest and newest.pk)
    retention = retention_window(learning.retentions(brew for brew in brews if not brew.is_set_aside))
    plan = _last_plan(brews)
    curve = None
    if plan is not None and plan.brewer.flow is not Flow.CLOSED:
        seen = [*learning.flow_factors(brews), *(end for window in factors for end in (window.low, window.high))]
        curve = _curve(plan, retention.likely, min(seen), max(seen))
    far_off = frozenset(counted[place].pk for place in outliers(taught))
    return Bench(brews, newest, factors, retention, far_off, plan, curve)


def _counted(brews: Iterable[TrialBrew]) -> tuple[TrialBrew, ...]:
    return tuple(brew for brew in brews if brew.flow_factor is not None and not brew.is_set_aside)


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
def _curve(plan: Plan, retention_g_g: float, slowest: float, fastest: float) -> DrainCurve | None:
    try:
        return drain_curve(plan, slowest=slowest, fastest=fastest, retention_g_g=retention_g_g)
    except OutOfRange:
        return None
