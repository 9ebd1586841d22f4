"""Strength and extraction against published batches, the chart and arithmetic worked outside."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guides.calculations.mass_balance import (
    Measured,
    diluted_strength,
    dilution_g,
    extraction_with_error,
    general_extraction,
    immersion_extraction,
    immersion_strength,
    percolation_extraction,
    percolation_strength,
    shortcut_strength,
)
from guides.calculations.validity import OutOfRange

STRENGTHS = st.floats(0.002, 0.03)


@pytest.mark.parametrize(
    ("dose_g", "beverage_g", "strength", "printed"),
    [
        (176.1, 2829.1, 1.05, 16.86856899),
        (119.0, 2884.1, 0.96, 23.26668908),
        (207.6, 2793.7, 1.49, 20.05112235),
        (145.0, 2878.0, 1.05, 20.84068966),
        (252.7, 2782.1, 1.59, 17.50510091),
        (176.1, 2780.3, 1.33, 20.99829074),
    ],
)
def test_real_batches(dose_g, beverage_g, strength, printed):
    """Ristenpart, Cotter & Guinard 2023, data set doi 10.25338/B8993H."""
    assert 100 * percolation_extraction(strength / 100, beverage_g, dose_g) == pytest.approx(printed, abs=1e-8)


@pytest.mark.parametrize(("extraction", "strength"), [(16, 1.00), (20, 1.25), (24, 1.50)])
def test_the_chart_line_of_sixteen(extraction, strength):
    """Frost, Ristenpart & Guinard 2020: B/D 16 passes these points."""
    assert percolation_extraction(strength / 100, 16, 1) == pytest.approx(extraction / 100)


def test_three_ways_to_share_out_the_retained_liquid():
    """D 15, W 250, B 220, T 1.40 %: worked by hand."""
    assert percolation_extraction(0.014, 220, 15) == pytest.approx(0.20533, abs=5e-6)
    assert general_extraction(0.014, 220, 250, 15, 0.008) == pytest.approx(0.22312, abs=5e-6)
    assert immersion_extraction(0.014, 250 / 15) == pytest.approx(0.23665, abs=5e-6)


@pytest.mark.parametrize(
    ("extraction", "exact", "shortcut", "immersion"),
    [(18, 1.1001, 1.1124, 0.9803), (20, 1.2209, 1.2360, 1.0880), (22, 1.3413, 1.3596, 1.1955)],
)
def test_the_golden_cup_ratio(extraction, exact, shortcut, immersion):
    """55 g/L with water of 1.000 kg/L and L = 2: arithmetic on the SCAA Golden Cup standard, rev. December 2015."""
    ratio = 1000 / 55
    assert 100 * percolation_strength(extraction / 100, ratio, 2) == pytest.approx(exact, abs=6e-5)
    assert 100 * shortcut_strength(extraction / 100, ratio, 2) == pytest.approx(shortcut, abs=6e-5)
    assert 100 * immersion_strength(extraction / 100, ratio) == pytest.approx(immersion, abs=6e-5)


@given(strength=STRENGTHS, dose_g=st.floats(5, 60), ratio=st.floats(8, 20), kept=st.floats(1, 3))
def test_the_general_balance_ends_in_the_two_special_ones(strength, dose_g, ratio, kept):
    water_g, beverage_g = ratio * dose_g, (ratio - kept) * dose_g
    percolation = percolation_extraction(strength, beverage_g, dose_g)
    immersion = immersion_extraction(strength, ratio)
    assert general_extraction(strength, beverage_g, water_g, dose_g, 0) == pytest.approx(percolation)
    assert general_extraction(strength, beverage_g, water_g, dose_g, strength) == pytest.approx(immersion)
    between = general_extraction(strength, beverage_g, water_g, dose_g, strength / 2)
    assert percolation < between < immersion


@given(extraction=st.floats(0.05, 0.3), ratio=st.floats(8, 20), kept=st.floats(1, 3))
def test_prediction_undoes_measurement(extraction, ratio, kept):
    strength = percolation_strength(extraction, ratio, kept)
    beverage = ratio - kept + extraction
    assert percolation_extraction(strength, beverage, 1) == pytest.approx(extraction)
    assert immersion_extraction(immersion_strength(extraction, ratio), ratio) == pytest.approx(extraction)


@given(beverage_g=st.floats(50, 500), strength=STRENGTHS, share=st.floats(0.2, 1))
def test_dilution_keeps_what_is_dissolved(beverage_g, strength, share):
    added_g = dilution_g(beverage_g, strength, strength * share)
    assert diluted_strength(beverage_g, strength, added_g) == pytest.approx(strength * share)


def test_dilution_worked():
    """148.5 g from 2.02 % to 1.44 % takes about 60 g: arithmetic."""
    assert dilution_g(148.5, 0.0202, 0.0144) == pytest.approx(60, abs=0.5)


def test_error_worked():
    """1.44 ± 0.03 %, 208.5 ± 2 g, 15 ± 0.1 g give 20.0 ± 0.5 %: arithmetic."""
    found = extraction_with_error(Measured(0.0144, 0.0003), Measured(208.5, 2), Measured(15, 0.1))
    assert found.value == pytest.approx(0.200, abs=0.0005)
    assert found.sd == pytest.approx(0.005, abs=0.0005)


@given(strength=STRENGTHS, beverage_g=st.floats(100, 400), dose_g=st.floats(10, 40), share=st.floats(0.001, 0.02))
def test_error_agrees_with_small_differences(strength, beverage_g, dose_g, share):
    """A numerical derivative is the outside reference for the propagation."""
    parts = [Measured(value, value * share) for value in (strength, beverage_g, dose_g)]
    base, nudge = [part.value for part in parts], 1e-6
    slopes = []
    for index, value in enumerate(base):
        up, down = base.copy(), base.copy()
        up[index], down[index] = value * (1 + nudge), value * (1 - nudge)
        slopes.append((percolation_extraction(*up) - percolation_extraction(*down)) / (2 * nudge * value))
    expected = math.hypot(*(slope * part.sd for slope, part in zip(slopes, parts, strict=True)))
    assert extraction_with_error(*parts).sd == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize("bad", [math.nan, math.inf, -0.01])
def test_refuses_bad_numbers_by_name(bad):
    with pytest.raises(OutOfRange, match="strength"):
        percolation_extraction(bad, 220, 15)
    with pytest.raises(OutOfRange, match="dose_g"):
        percolation_extraction(0.014, 220, bad)
    with pytest.raises(OutOfRange, match="beverage_g"):
        percolation_extraction(0.014, bad, 15)
    with pytest.raises(OutOfRange, match="extraction"):
        immersion_strength(bad, 16)
    with pytest.raises(OutOfRange, match=r"strength\.sd"):
        extraction_with_error(Measured(0.014, bad), Measured(220, 2), Measured(15, 0.1))


def test_refuses_more_out_than_in_and_percent_for_fraction():
    with pytest.raises(OutOfRange, match="beverage_g"):
        general_extraction(0.014, 400, 250, 15, 0)
    with pytest.raises(OutOfRange, match=r"1\.35 % is 0\.0135"):
        percolation_extraction(1.4, 220, 15)
    with pytest.raises(OutOfRange, match="wanted_strength"):
        dilution_g(150, 0.012, 0.014)
