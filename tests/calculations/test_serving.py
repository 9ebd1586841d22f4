"""How many cups a guide makes, and how many brews finish a bag."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guides.calculations.serving import brews_left, cups_g, cups_made
from guides.calculations.validity import OutOfRange

CUPS_G = st.floats(1, 4_000)


@given(CUPS_G)
def test_the_cups_a_guide_makes_are_the_guide(cup_g):
    assert cups_g(cup_g, cups_made(cup_g)) == pytest.approx(cup_g)


@given(CUPS_G, st.integers(1, 10))
def test_twice_the_cups_is_twice_the_beverage(cup_g, cups):
    assert cups_g(cup_g, 2 * cups) == pytest.approx(2 * cups_g(cup_g, cups))


@given(CUPS_G)
def test_a_cup_stays_near_a_usual_one(cup_g):
    """Halving the difference between one cup and two lies at 1.5 cups: shares run from two thirds to three halves."""
    assert 220 / 1.5 - 1e-9 <= cups_g(max(cup_g, 220 / 1.5), 1) <= 220 * 1.5


@given(st.floats(1, 5000), st.floats(5, 100))
def test_a_bag_is_finished_in_doses_near_the_guides(left_g, dose_g):
    brews = brews_left(left_g, dose_g)
    assert brews >= 1
    if left_g >= dose_g:
        assert 2 / 3 * dose_g - 1e-6 <= left_g / brews <= 1.5 * dose_g + 1e-6


@pytest.mark.parametrize("wrong", [0, -1, float("nan"), float("inf"), 20_001])
def test_no_brew_no_cups(wrong):
    with pytest.raises(OutOfRange):
        cups_made(wrong)


@pytest.mark.parametrize("left_g", [0, -3, float("nan"), 5001])
def test_no_bag_no_brews(left_g):
    with pytest.raises(OutOfRange):
        brews_left(left_g, 15)
