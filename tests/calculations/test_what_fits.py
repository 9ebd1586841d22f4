"""What a brewer takes above its coffee, and the split of the rest."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guides.calculations.freshness import GasLevel
from guides.calculations.validity import OutOfRange
from guides.calculations.what_fits import most_water_g, shut_limit_g, split


def test_worked_example():
    """0.96 · [240 − 15 · (1.0 + 1.5)] = 194.4: arithmetic on our own defaults."""
    assert most_water_g(240, 15, GasLevel.LIVELY) == pytest.approx(194.4)
    assert shut_limit_g(240, 15, GasLevel.LIVELY) == 190


@given(usable=st.floats(100, 2000), dose=st.floats(1, 60), more=st.floats(1, 20))
def test_more_room_more_water_more_coffee_less(usable, dose, more):
    for gas in GasLevel:
        assert most_water_g(usable + more, dose, gas) >= most_water_g(usable, dose, gas)
        assert most_water_g(usable, dose + more, gas) <= most_water_g(usable, dose, gas)
    rested, lively, fresh = (most_water_g(usable, dose, gas) for gas in GasLevel)
    assert rested >= lively >= fresh >= 0


@given(usable=st.floats(100, 2000), dose=st.floats(1, 60), gas=st.sampled_from(GasLevel))
def test_the_limit_shown_is_never_more_than_fits(usable, dose, gas):
    limit = shut_limit_g(usable, dose, gas)
    assert limit % 10 == 0
    assert 0 <= most_water_g(usable, dose, gas) - limit < 10


@given(water=st.floats(0, 1000), bypass=st.floats(0, 500), held=st.floats(0, 1000), limit=st.floats(0, 1000))
def test_a_split_loses_no_water(water, bypass, held, limit):
    parts = split(water, bypass, held, limit)
    assert parts.water_g + parts.bypass_g == pytest.approx(water + bypass)
    assert 0 <= parts.water_g <= water
    assert parts.bypass_g >= bypass
    if held <= limit:
        assert parts.water_g == water
    else:
        assert parts.water_g == pytest.approx(max(water - (held - limit), 0), abs=1e-9)


@pytest.mark.parametrize("bad", [math.nan, math.inf, -1, 0])
def test_refuses_bad_numbers(bad):
    with pytest.raises(OutOfRange, match="usable_ml"):
        most_water_g(bad, 15, GasLevel.LIVELY)
    with pytest.raises(OutOfRange, match="dose_g"):
        most_water_g(240, bad, GasLevel.LIVELY)
