"""The plateau of full immersion against Liang, Chan & Ristenpart 2021, Sci. Rep. 11:6904."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guides.calculations.immersion import plateau_extraction, plateau_strength
from guides.calculations.mass_balance import immersion_extraction
from guides.calculations.validity import OutOfRange


@pytest.mark.parametrize(
    ("ratio", "strength"),
    [(5, 4.1227), (10, 2.1047), (12, 1.7601), (15, 1.4131), (16, 1.3259), (18, 1.1803), (20, 1.0636)],
)
def test_published_plateau(ratio, strength):
    assert 100 * plateau_strength(ratio) == pytest.approx(strength, abs=6e-5)


@given(ratio=st.floats(3, 100), more=st.floats(0.1, 10))
def test_more_water_is_weaker_but_extracts_as_much(ratio, more):
    assert plateau_strength(ratio + more) < plateau_strength(ratio)
    assert immersion_extraction(plateau_strength(ratio), ratio) == pytest.approx(plateau_extraction())


@pytest.mark.parametrize("bad", [2.9, 0, -1, math.nan, math.inf])
def test_refuses_ratios_outside_the_measurements(bad):
    with pytest.raises(OutOfRange, match="ratio"):
        plateau_strength(bad)
