"""The triangle test against SciPy's binomial and the table of ISO 4120."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom

from guides.calculations.tasting import chance_of_right, fewest_right
from guides.calculations.validity import OutOfRange


@given(tasters=st.integers(1, 200), share=st.floats(0, 1))
def test_chance_agrees_with_scipy(tasters, share):
    right = round(share * tasters)
    assert chance_of_right(right, tasters) == pytest.approx(float(binom.sf(right - 1, tasters, 1 / 3)), rel=1e-9)


@pytest.mark.parametrize(
    ("tasters", "fewest"), [(6, 5), (7, 5), (8, 6), (9, 6), (10, 7), (11, 7), (12, 8), (18, 10), (24, 13), (30, 15)]
)
def test_table_of_the_standard(tasters, fewest):
    """ISO 4120, table A.1, 5 %; rows beyond 6, 9 and 12 from memory."""
    assert fewest_right(tasters) == fewest


@given(tasters=st.integers(3, 150))
def test_one_less_could_be_luck(tasters):
    fewest = fewest_right(tasters)
    assert chance_of_right(fewest, tasters) < 0.05 <= chance_of_right(fewest - 1, tasters)


def test_two_tasters_prove_nothing():
    assert fewest_right(2) is None


@pytest.mark.parametrize("bad", [0, -3, math.nan, math.inf, 2.5, 1001])
def test_refuses_what_cannot_be_counted(bad):
    with pytest.raises(OutOfRange, match="tasters"):
        fewest_right(bad)
    with pytest.raises(OutOfRange, match="right"):
        chance_of_right(7, 6)
