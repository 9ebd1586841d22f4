"""What is known of how fast a coffee lets water through: learnt from its trial brews, lot by lot.

A coffee is one number, its flow factor (1: the reference coffee). Its logarithm is normal: a prior before any trial;
lots scatter around the coffee, and brews around their lot. So an earlier lot's brews say where a new lot will lie, but
only the lot's own brews say where it is.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from .constants import (
    FLOW_BETWEEN_BREWS_SD,
    FLOW_BETWEEN_LOTS_SD,
    FLOW_MODEL_SD,
    FLOW_OUTLIER_SDS,
    FLOW_PRIOR_SD,
    Z_90,
)
from .validity import Window, check_range

SLOWEST, FASTEST = 0.05, 20.0
"""Flow factors looked between: a choked bed, and one that hardly holds water back."""

Taught = tuple[Hashable, float]
"""A trial brew: its lot, and the flow factor that it showed."""
_Logs = tuple[int, float]
"""How many brews a lot has, and the sum of the logarithms of their flow factors: all that is ever asked of them."""


@dataclass(frozen=True)
class FlowPosterior:
    """What trial brews say about a lot: mean and standard deviation of the logarithm of its flow factor."""

    mean_log: float
    sd_log: float
    trials: int

    @property
    def factor(self) -> float:
        """The likely flow factor."""
        return math.exp(self.mean_log)

    @property
    def new_brew_sd_log(self) -> float:
        """Standard deviation for a new brew: what is not known of the lot, brews differing, the model erring."""
        return math.hypot(self.sd_log, FLOW_BETWEEN_BREWS_SD.value, FLOW_MODEL_SD.value)


def posterior(factors: Sequence[float] = (), other_lots: Sequence[Sequence[float]] = ()) -> FlowPosterior:
    """Learn a lot's flow factor from those of its trial brews and of the coffee's other lots.

    Args:
        factors: flow factor of each trial brew of this lot.
        other_lots: the same of each other lot of the coffee.

    Returns:
        Normal posterior of the logarithm.

    Raises:
        OutOfRange: a factor outside the valid range.

    Valid range: factors 0.05 to 20.
    Source: normal posterior of brews within lots within a coffee; spreads are own defaults.

    >>> [round(posterior(trials).factor, 3) for trials in ((), (0.75,), (0.75,) * 20)]
    [1.0, 0.794, 0.753]
    >>> 0.75 < posterior((), [(0.75,) * 20]).factor < 1
    True
    """
    return _posterior(_logs(factors), map(_logs, other_lots))


def _posterior(own: _Logs, others: Iterable[_Logs]) -> FlowPosterior:
    mean_log, variance, trials = _before_own(others)
    brews, logs = own
    between = FLOW_BETWEEN_BREWS_SD.value**-2
    weight = 1 / variance + brews * between
    return FlowPosterior((mean_log / variance + between * logs) / weight, weight**-0.5, trials + brews)


def _before_own(others: Iterable[_Logs]) -> tuple[float, float, int]:
    """Mean and variance expected of a lot before any brew of it, and the brews of other lots behind that."""
    lot_variance = FLOW_BETWEEN_LOTS_SD.value**2
    weight, total, trials = 1 / (FLOW_PRIOR_SD.value**2 - lot_variance), 0.0, 0
    for brews, logs in others:
        if not brews:
            continue
        lot_weight = 1 / (lot_variance + FLOW_BETWEEN_BREWS_SD.value**2 / brews)
        weight, total = weight + lot_weight, total + lot_weight * logs / brews
        trials += brews
    return total / weight, 1 / weight + lot_variance, trials


def _logs(factors: Sequence[float]) -> _Logs:
    return len(factors), sum(map(_log, factors))


def _log(factor: float) -> float:
    check_range("factors", factor, low=SLOWEST, high=FASTEST, reason="a flow factor learnt from a trial brew")
    return math.log(factor)


def new_brew_factor(factors: Sequence[float] = (), other_lots: Sequence[Sequence[float]] = ()) -> Window:
    """Predict the flow factor that the next brew of a lot will show.

    Args:
        factors: flow factor of each trial brew of this lot so far.
        other_lots: the same of each other lot of the coffee.

    Returns:
        10th percentile, median and 90th percentile.

    Raises:
        OutOfRange: a factor outside the valid range.

    Valid range: factors 0.05 to 20.
    Source: normal posterior predictive; spreads are own defaults.

    >>> window = new_brew_factor()
    >>> [round(value, 2) for value in (window.low, window.likely, window.high)]
    [0.75, 1.0, 1.34]
    """
    return _window(posterior(factors, other_lots))


def _window(known: FlowPosterior) -> Window:
    spread = math.exp(Z_90 * known.new_brew_sd_log)
    return Window(known.factor / spread, known.factor, known.factor * spread, known.trials)


def narrowing(brews: Sequence[Taught], lot: Hashable) -> tuple[Window, ...]:
    """Predict the flow factor of a lot's next brew before the first of a coffee's brews, and after each.

    Args:
        brews: lot and flow factor of each trial brew of the coffee, in the order they were made.
        lot: the lot whose next brew is predicted.

    Returns:
        As new_brew_factor; one more than there are brews.

    Raises:
        OutOfRange: a factor outside the valid range.

    Valid range: factors 0.05 to 20.
    Source: new_brew_factor, its sums carried on from brew to brew.

    >>> narrowing([("A", 0.9), ("B", 0.8)], "B")[-1] == new_brew_factor([0.8], [[0.9]])
    True
    """
    lots: dict[Hashable, _Logs] = {lot: (0, 0.0)}
    found = [new_brew_factor()]
    for key, factor in brews:
        lots[key] = _and_one(lots.get(key, (0, 0.0)), _log(factor))
        found.append(_window(_posterior(lots[lot], _others(lots, lot))))
    return tuple(found)


def outliers(brews: Sequence[Taught]) -> tuple[int, ...]:
    """Find the brews of a coffee that all the others would not have foreseen.

    Args:
        brews: lot and flow factor of each trial brew of the coffee.

    Returns:
        Places of those in brews that is_outlier holds for, seen from the others.

    Raises:
        OutOfRange: a factor outside the valid range.

    Valid range: factors 0.05 to 20.
    Source: is_outlier, its sums made once.

    >>> outliers([("A", 1.0), ("A", 1.05), ("A", 0.6), ("B", 0.95)])
    (2,)
    """
    lots: dict[Hashable, _Logs] = {}
    for key, factor in brews:
        lots[key] = _and_one(lots.get(key, (0, 0.0)), _log(factor))
    found = []
    for place, (key, factor) in enumerate(brews):
        count, logs = lots[key]
        known = _posterior((count - 1, logs - _log(factor)), _others(lots, key))
        if known.trials and _is_far(factor, known):
            found.append(place)
    return tuple(found)


def _and_one(logs: _Logs, log: float) -> _Logs:
    return logs[0] + 1, logs[1] + log


def _others(lots: Mapping[Hashable, _Logs], lot: Hashable) -> Iterator[_Logs]:
    return (logs for key, logs in lots.items() if key != lot)


def is_outlier(factor: float, factors: Sequence[float], other_lots: Sequence[Sequence[float]] = ()) -> bool:
    """Say whether a brew lies so far from what the others foresee that it is worth a second look.

    Args:
        factor: flow factor of the brew.
        factors: flow factor of each other trial brew of its lot.
        other_lots: the same of each other lot of the coffee.

    Returns:
        Whether it is further off than a new brew of that lot comes in about one case of eighty.

    Raises:
        OutOfRange: a factor outside the valid range.

    Valid range: factors 0.05 to 20.
    Source: normal posterior predictive; how far is an own default.

    >>> is_outlier(0.9, [1.0, 1.05, 0.95]), is_outlier(0.6, [1.0, 1.05, 0.95])
    (False, True)
    """
    check_range("factor", factor, low=SLOWEST, high=FASTEST, reason="a flow factor learnt from a trial brew")
    return _is_far(factor, posterior(factors, other_lots))


def _is_far(factor: float, known: FlowPosterior) -> bool:
    return abs(math.log(factor) - known.mean_log) > FLOW_OUTLIER_SDS.value * known.new_brew_sd_log
