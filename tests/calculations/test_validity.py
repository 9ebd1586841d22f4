"""What a refusal carries."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guides.calculations.validity import OutOfRange, check_range


@given(value=st.floats(0, 5))
def test_numbers_within_pass_unchanged(value):
    assert check_range("dose_g", value, low=0, high=5, reason="a test") == value


@given(value=st.one_of(st.floats(-1e9, -1e-9), st.floats(5.000001, 1e9)))
def test_numbers_outside_are_refused_with_all_that_explains_it(value):
    with pytest.raises(OutOfRange) as refused:
        check_range("dose_g", value, low=0, high=5, reason="a test")
    found = refused.value
    assert (found.argument, found.value, found.low, found.high, found.reason) == ("dose_g", value, 0, 5, "a test")


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
def test_no_limit_lets_in_what_is_not_finite(bad):
    with pytest.raises(OutOfRange, match="the finite numbers"):
        check_range("dose_g", bad, reason="a test")


def test_above_is_strict_and_the_message_says_all():
    with pytest.raises(OutOfRange, match=r"dose_g = 0\.0 is outside 0 and up: a brew needs coffee"):
        check_range("dose_g", 0, above=0, reason="a brew needs coffee")
