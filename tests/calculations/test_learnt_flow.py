"""Lots of a coffee: the posterior against a multivariate normal, and windows that hold as often as they say."""

import math
import os
import random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from guides.calculations.constants import (
    FLOW_BETWEEN_BREWS_SD,
    FLOW_BETWEEN_LOTS_SD,
    FLOW_MODEL_SD,
    FLOW_PRIOR_SD,
)
from guides.calculations.drain_curve import drain_curve
from guides.calculations.drawdown import simulate
from guides.calculations.flow import factor_from_drained_time
from guides.calculations.learnt_flow import is_outlier, narrowing, new_brew_factor, outliers, posterior
from guides.calculations.validity import OutOfRange
from tests.calculations.demo_plans import KELP_LIGHT, OUTER_MARK, ROPE_WALK_L, ROPE_WALK_S

FULL = os.environ.get("FULL_COUNTS") == "1"
COFFEES = 2000
PLANS = (ROPE_WALK_S, ROPE_WALK_L, OUTER_MARK, KELP_LIGHT)
LOTS = st.lists(st.lists(st.floats(0.5, 2), max_size=4), max_size=4)
PRIOR, LOT = FLOW_PRIOR_SD.value, FLOW_BETWEEN_LOTS_SD.value
BREW, MODEL = FLOW_BETWEEN_BREWS_SD.value, FLOW_MODEL_SD.value


@given(own=st.lists(st.floats(0.5, 2), max_size=4), others=LOTS)
def test_agrees_with_a_conditioned_multivariate_normal(own, others):
    """Textbook conditioning of a joint normal over every brew and the lot at hand is the outside reference."""
    lots = [own, *others]
    brews = [(index, math.log(factor)) for index, lot in enumerate(lots) for factor in lot]
    coffee = PRIOR**2 - LOT**2
    if not brews:
        assert posterior(own, others).sd_log == pytest.approx(PRIOR)
        return
    seen = np.array([[coffee + (a == b) * LOT**2 for b, _ in brews] for a, _ in brews]) + np.eye(len(brews)) * BREW**2
    with_own = np.array([coffee + (index == 0) * LOT**2 for index, _ in brews])
    weights = np.linalg.solve(seen, with_own)
    known = posterior(own, others)
    assert known.mean_log == pytest.approx(float(weights @ [log for _, log in brews]), abs=1e-9)
    assert known.sd_log**2 == pytest.approx(PRIOR**2 - float(weights @ with_own), abs=1e-9)
    assert known.trials == len(brews)


@given(factor=st.floats(0.5, 2))
def test_another_lot_teaches_less_than_ones_own(factor):
    own, other = posterior([factor] * 3), posterior((), [[factor] * 3])
    assert other.sd_log > own.sd_log
    assert abs(other.mean_log) <= abs(own.mean_log)


@pytest.mark.parametrize("bad", [0, -1, 100, math.nan])
def test_no_coffee_of_any_lot_has_such_a_factor(bad):
    with pytest.raises(OutOfRange, match="factors"):
        posterior((), [[1.0], [bad]])


def test_an_outlier_is_about_one_brew_in_eighty():
    """Two-sided normal tail beyond 2.5 standard deviations, 1.24 %: any table of the normal distribution."""
    rng, found, count = random.Random(5), 0, 4000
    for _ in range(count):
        coffee = rng.gauss(0, PRIOR)
        factors = [math.exp(coffee + rng.gauss(0, BREW)) for _ in range(4)]
        found += is_outlier(math.exp(coffee + rng.gauss(0, math.hypot(BREW, MODEL))), factors)
    assert found / count == pytest.approx(0.0124, abs=0.006)


def test_a_curve_is_the_simulation_read_off():
    curve = drain_curve(OUTER_MARK)
    for factor in (0.5, 0.77, 1.0, 1.31, 2.2):
        assert curve.at(factor) == pytest.approx(simulate(OUTER_MARK, flow_factor=factor).drained_s, abs=1.5)
    assert curve.at(0.01) == curve.drained_s[0]
    assert curve.at(99) == curve.drained_s[-1]


def test_a_stretch_of_a_curve_reads_as_the_whole_of_it():
    whole, stretch = drain_curve(OUTER_MARK), drain_curve(OUTER_MARK, slowest=0.8, fastest=1.25)
    for factor in (0.8, 0.93, 1.0, 1.25):
        assert stretch.at(factor) == pytest.approx(whole.at(factor), abs=1e-9)
    assert len(stretch.drained_s) < len(whole.drained_s) / 3
    with pytest.raises(OutOfRange, match="fastest"):
        drain_curve(OUTER_MARK, slowest=1.2, fastest=1.1)


@pytest.mark.parametrize("lots", [(0,), (1,), (3,), (5, 0), (3, 2, 1), (4, 4, 4, 4, 0)])
def test_four_in_five_new_brews_drain_in_the_window(lots, capsys):
    """2,000 synthetic coffees: what is true is drawn, brewed, timed to the second, learnt from, and brewed again.

    ``lots`` are brews of each lot so far; the new brew is of the last. A plain run reads drained times and factors off
    curves of the simulation; FULL_COUNTS simulates every brew and searches every factor, up to three brews a coffee.
    """
    drained, learn = (_simulated, _searched) if FULL and sum(lots) <= 3 else (_read_off, _read_back)
    rng, held, forgetful = random.Random(sum(lots) + len(lots)), 0, 0
    curves = [drain_curve(plan) for plan in PLANS]
    for number in range(COFFEES):
        plan, curve = PLANS[number % len(PLANS)], curves[number % len(PLANS)]
        coffee = rng.gauss(0, math.sqrt(PRIOR**2 - LOT**2))
        taught = []
        for brews in lots:
            lot = coffee + rng.gauss(0, LOT)
            times = [round(drained(plan, curve, lot + rng.gauss(0, BREW))) for _ in range(brews)]
            taught.append([learn(plan, curve, time_s) for time_s in times])
        true = drained(plan, curve, lot + rng.gauss(0, BREW) + rng.gauss(0, MODEL))
        window = new_brew_factor(taught[-1], taught[:-1])
        held += curve.at(window.high) <= true <= curve.at(window.low)
        known = posterior(taught[-1], taught[:-1])
        reach = 1.2816 * known.sd_log
        forgetful += curve.at(math.exp(known.mean_log + reach)) <= true <= curve.at(math.exp(known.mean_log - reach))
    with capsys.disabled():
        print(f"\nlots of {lots} brews: {held / COFFEES:.1%} of {COFFEES} new brews in the window", end="")
    assert 0.75 <= held / COFFEES <= 0.85
    if sum(lots) > 2:  # negative control: a window that forgets how brews differ holds too seldom
        assert forgetful / COFFEES < 0.75


def _simulated(plan, _curve, log_factor):
    return simulate(plan, flow_factor=math.exp(log_factor)).drained_s


def _searched(plan, _curve, drained_s):
    return factor_from_drained_time(plan, drained_s)


def _read_off(_plan, curve, log_factor):
    return curve.at(math.exp(log_factor))


def _read_back(_plan, curve, drained_s):
    low, high = 0.05, 20.0
    while high - low > 1e-4:
        middle = (low + high) / 2
        low, high = (middle, high) if curve.at(middle) > drained_s else (low, middle)
    return low


BREWS = st.lists(st.tuples(st.sampled_from("ABCD"), st.floats(0.3, 3.0)), max_size=25)


@given(brews=BREWS, lot=st.sampled_from("ABCDE"))
def test_what_is_carried_on_from_brew_to_brew_is_what_each_would_have_learnt_alone(brews, lot):
    """The formula is posterior's, checked above; here each brew asks it afresh."""

    def factors(some, of):
        return [factor for key, factor in some if key == of]

    def others(some, of):
        return [factors(some, key) for key in dict.fromkeys(key for key, _factor in some) if key != of]

    for count, window in enumerate(narrowing(brews, lot)):
        afresh = new_brew_factor(factors(brews[:count], lot), others(brews[:count], lot))
        assert (window.low, window.likely, window.high) == pytest.approx((afresh.low, afresh.likely, afresh.high))
        assert window.trials == count
    far = [
        place
        for place, (key, factor) in enumerate(brews)
        for rest in [brews[:place] + brews[place + 1 :]]
        if rest and is_outlier(factor, factors(rest, key), others(rest, key))
    ]
    assert list(outliers(brews)) == far
