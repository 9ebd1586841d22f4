"""Extraction of a measured cup: published batches, worked arithmetic, and errors against small differences."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guides.calculations.brewed_cup import Cup, believable, finished_strength, measured_extraction
from guides.calculations.constants import DOSE_READ_SD_G, SCALE_READ_SD_G, STRENGTH_READ_SD
from guides.calculations.cup_map import PUBLISHED_BAND, SPAN, Box, recipe_slope
from guides.calculations.validity import OutOfRange


@pytest.mark.parametrize(
    ("dose_g", "beverage_g", "strength", "printed"),
    [
        (176.1, 2829.1, 1.05, 16.86856899),
        (119.0, 2884.1, 0.96, 23.26668908),
        (207.6, 2793.7, 1.49, 20.05112235),
        (252.7, 2782.1, 1.59, 17.50510091),
    ],
)
def test_published_batches(dose_g, beverage_g, strength, printed):
    """Ristenpart, Cotter & Guinard 2023, data set doi 10.25338/B8993H: read from the beverage, nothing added."""
    cup = Cup(dose_g, beverage_g + 2 * dose_g, beverage_g, 0, strength / 100, before_added=True)
    assert 100 * measured_extraction(cup).value == pytest.approx(printed, abs=1e-8)


def test_worked_balances():
    """D 15, W 250, B 220, T 1.40 %: 20.533 %, with last drops of 0.8 % 22.312 %, steeped 23.665 %: by hand."""
    cup = Cup(15, 250, 220, 0, 0.014, before_added=True)
    assert measured_extraction(cup).value == pytest.approx(0.20533, abs=5e-6)
    assert measured_extraction(replace(cup, last_drops=0.008)).value == pytest.approx(0.22312, abs=5e-6)
    assert measured_extraction(replace(cup, immersed=True)).value == pytest.approx(0.23665, abs=5e-6)


def test_error_worked():
    """1.44 ± 0.03 %, 208.5 ± 2 g, 15 ± 0.1 g give 20.0 ± 0.5 %: arithmetic."""
    found = measured_extraction(Cup(15, 240, 208.5, 0, 0.0144, before_added=True))
    assert (found.value, found.sd) == (pytest.approx(0.2, abs=5e-4), pytest.approx(0.005, abs=5e-4))


@given(strength=st.floats(0.009, 0.02), added_g=st.floats(0, 100), last=st.none() | st.floats(0.002, 0.01))
def test_where_the_drops_were_taken_does_not_matter(strength, added_g, last):
    before = Cup(15, 180, 150, added_g, strength, before_added=True, last_drops=last)
    after = replace(before, strength=finished_strength(before), before_added=False)
    assert measured_extraction(after).value == pytest.approx(measured_extraction(before).value)
    assert finished_strength(after) == pytest.approx(finished_strength(before))


@given(
    strength=st.floats(0.009, 0.02), last=st.none() | st.floats(0.002, 0.01), immersed=st.booleans(),
    beverage_g=st.floats(150, 240),
)  # fmt: skip
def test_errors_agree_with_small_differences(strength, last, immersed, beverage_g):
    """A numerical derivative is the outside reference for the propagation."""
    cup = Cup(16, 264, beverage_g, 0, strength, before_added=True, last_drops=last, immersed=immersed)
    errors = {"strength": STRENGTH_READ_SD.value, "beverage_g": SCALE_READ_SD_G.value, "dose_g": DOSE_READ_SD_G.value}
    if last is not None:
        errors["last_drops"] = STRENGTH_READ_SD.value
    moved = []
    for name, sd in errors.items():
        nudge = getattr(cup, name) * 1e-6
        up, down = (replace(cup, **{name: getattr(cup, name) + way * nudge}) for way in (1, -1))
        moved.append((measured_extraction(up).value - measured_extraction(down).value) / (2 * nudge) * sd)
    assert measured_extraction(cup).sd == pytest.approx(math.hypot(*moved), rel=1e-3)


@pytest.mark.parametrize("slip", [{"beverage_g": 400}, {"beverage_g": -5}, {"strength": 1.35}, {"dose_g": 0}])
def test_a_slip_is_no_cup(slip):
    cup = replace(Cup(15, 250, 220, 0, 0.014, before_added=True), **slip)
    assert believable(cup) is None
    with pytest.raises(OutOfRange):
        measured_extraction(cup)


@pytest.mark.parametrize(("extraction", "strength"), [(16, 1.00), (20, 1.25), (24, 1.50)])
def test_the_charts_own_line(extraction, strength):
    """Frost, Ristenpart & Guinard 2020: the line of 16 g of beverage per gram passes these points; here R 18, r 2."""
    assert recipe_slope(18, 2) * extraction == pytest.approx(strength)


def test_the_map_is_the_published_one():
    """SCA chart 2019: 14 to 26 % and 0.90 to 1.80 %; SCAA Golden Cup, December 2015: 18 to 22 and 1.15 to 1.35 %."""
    assert Box(0.14, 0.26, 0.009, 0.018) == SPAN
    assert Box(0.18, 0.22, 0.0115, 0.0135) == PUBLISHED_BAND
