"""The triangle test against SciPy's binomial and the table of ISO 4120; preference against counting every way."""

import math
from collections import Counter
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom, binomtest

from guides.calculations.tasting import chance_of_favourite, chance_of_right, fewest_right
from guides.calculations.validity import OutOfRange


@given(tasters=st.integers(1, 200), share=st.floats(0, 1))
def test_chance_agrees_with_scipy(tasters, share):
    right = round(share * tasters)
    assert chance_of_right(right, tasters) == pytest.approx(float(binom.sf(right - 1, tasters, 1 / 3)), rel=1e-9)


def test_table_of_the_standard():
    """ISO 4120, table A.1, 5 %: every row from 6 to 36 assessors, then every sixth; all but 6, 9 and 12 from memory."""
    rows = (
        5,
        5,
        6,
        6,
        7,
        7,
        8,
        8,
        9,
        9,
        9,
        10,
        10,
        11,
        11,
        12,
        12,
        12,
        13,
        13,
        14,
        14,
        15,
        15,
        15,
        16,
        16,
        17,
        17,
        17,
        18,
    )
    table = dict(zip(range(6, 37), rows, strict=True)) | {42: 20, 48: 22, 54: 25, 60: 27, 66: 29, 72: 32}
    assert {tasters: fewest_right(tasters) for tasters in table} == table


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


@given(choices=st.integers(1, 200), share=st.floats(0.5, 1))
def test_of_two_cups_it_is_the_two_sided_binomial_test(choices, share):
    most = max(round(share * choices), math.ceil(choices / 2))
    assert chance_of_favourite(most, choices, 2) == pytest.approx(binomtest(most, choices).pvalue, rel=1e-9)


@pytest.mark.parametrize(("samples", "choices"), [(3, 7), (4, 6)])
def test_of_more_cups_it_is_what_counting_every_way_gives(samples, choices):
    ways = [max(Counter(way).values()) for way in product(range(samples), repeat=choices)]
    for most in range(choices + 1):
        expected = sum(largest >= most for largest in ways) / samples**choices
        assert chance_of_favourite(most, choices, samples) == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize(("choices", "fewest"), [(6, 6), (8, 8), (9, 8), (10, 9), (15, 12), (20, 15), (25, 18)])
def test_table_of_the_sign_test(choices, fewest):
    """Critical values of the two-sided sign test at 5 %, from memory of handbook tables."""
    assert chance_of_favourite(fewest, choices, 2) < 0.05 <= chance_of_favourite(fewest - 1, choices, 2)


@pytest.mark.parametrize("bad", [(3, 2, 2), (1, 0, 2), (1, 4, 5), (1, 4, 1), (1.5, 4, 2), (1, 1001, 2)])
def test_refuses_choices_that_cannot_be(bad):
    with pytest.raises(OutOfRange):
        chance_of_favourite(*bad)
