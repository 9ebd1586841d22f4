"""What is known of how fast a coffee lets water through: learnt from its trial brews, lot by lot.

A coffee is one number, its flow factor (1: the reference coffee). Its logarithm is normal: a prior before any trial;
lots scatter around the coffee, and brews around their lot. So an earlier lot's brews say where a new lot will lie, but
only the lot's own brews say where it is.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
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
    mean_log, variance, trials = _before_own(other_lots)
    between = FLOW_BETWEEN_BREWS_SD.value**-2
    weight = 1 / variance + len(factors) * between
    mean = (mean_log / variance + between * _sum_of_logs(factors)) / weight
    return FlowPosterior(mean, weight**-0.5, trials + len(factors))


def _before_own(other_lots: Sequence[Sequence[float]]) -> tuple[float, float, int]:
    """Mean and variance expected of a lot before any brew of it, and the brews of other lots behind that."""
    lot_variance = FLOW_BETWEEN_LOTS_SD.value**2
    weight, total, trials = 1 / (FLOW_PRIOR_SD.value**2 - lot_variance), 0.0, 0
    for factors in other_lots:
        logs = _sum_of_logs(factors)
        if not factors:
            continue
        lot_weight = 1 / (lot_variance + FLOW_BETWEEN_BREWS_SD.value**2 / len(factors))
        weight, total = weight + lot_weight, total + lot_weight * logs / len(factors)
        trials += len(factors)
    return total / weight, 1 / weight + lot_variance, trials


def _sum_of_logs(factors: Sequence[float]) -> float:
    for factor in factors:
        check_range("factors", factor, low=SLOWEST, high=FASTEST, reason="a flow factor learnt from a trial brew")
    return sum(map(math.log, factors))


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
    known = posterior(factors, other_lots)
    spread = math.exp(Z_90 * known.new_brew_sd_log)
    return Window(known.factor / spread, known.factor, known.factor * spread, known.trials)


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
    known = posterior(factors, other_lots)
    return abs(math.log(factor) - known.mean_log) > FLOW_OUTLIER_SDS.value * known.new_brew_sd_log
