"""Retention learnt from trial brews; the posterior against SciPy and a brute-force grid."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from guides.calculations.retention import measured_retention, retention_window
from guides.calculations.validity import OutOfRange

TRIALS = st.lists(st.floats(1.2, 3.0), min_size=1, max_size=15)


def test_the_default_is_two_point_one_give_or_take_three_tenths():
    window = retention_window()
    assert window.likely == 2.1
    assert window.high - window.likely == pytest.approx(0.3 * norm.ppf(0.9), rel=1e-9)
    assert window.trials == 0


@given(trials=TRIALS)
def test_posterior_by_brute_force(trials):
    """A grid over the mean: prior times likelihoods, no algebra shared with ours."""
    prior_sd = math.sqrt(0.3**2 - 0.15**2)
    grid = np.linspace(1, 3.2, 2201)
    log = norm.logpdf(grid, 2.1, prior_sd) + sum(norm.logpdf(trial, grid, 0.15) for trial in trials)
    weights = np.exp(log - log.max())
    mean = float((grid * weights).sum() / weights.sum())
    assert retention_window(trials).likely == pytest.approx(mean, abs=0.002)


@given(trials=TRIALS)
def test_windows_narrow_with_trials_but_never_below_what_brews_differ_by(trials):
    window, more = retention_window(trials), retention_window([*trials, 2.0])
    assert more.high - more.low < window.high - window.low
    assert more.high - more.low > 2 * norm.ppf(0.9) * 0.15
    assert more.trials == len(trials) + 1


@pytest.mark.parametrize("bad", [math.nan, math.inf, -1, 9])
def test_refuses_bad_numbers(bad):
    with pytest.raises(OutOfRange, match="trials"):
        retention_window([bad])
    with pytest.raises(OutOfRange):
        measured_retention(15, 250, bad if bad != 9 else 251)
