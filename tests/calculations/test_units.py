"""Conversions against `pint`, which holds the definitions of NIST SP 811."""

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from guides.calculations import units
from guides.calculations.validity import OutOfRange

REGISTRY = pint.UnitRegistry()
PAIRS = [
    (units.grams_from_ounces, units.ounces_from_grams, "ounce", "gram"),
    (units.ml_from_us_fluid_ounces, units.us_fluid_ounces_from_ml, "US_fluid_ounce", "milliliter"),
    (units.ml_from_imp_fluid_ounces, units.imp_fluid_ounces_from_ml, "imperial_fluid_ounce", "milliliter"),
    (units.celsius_from_fahrenheit, units.fahrenheit_from_celsius, "degree_Fahrenheit", "degree_Celsius"),
]
FEET = (units.metres_from_feet, units.feet_from_metres, "foot", "meter")


@pytest.mark.parametrize(("there", "back", "foreign", "ours"), [*PAIRS, FEET])
@given(amount=st.floats(0, 1e6))
def test_agrees_with_pint_both_ways(there, back, foreign, ours, amount):
    expected = REGISTRY.Quantity(amount, foreign).to(ours).magnitude
    assert there(amount) == pytest.approx(expected, rel=1e-12, abs=1e-9)
    expected = REGISTRY.Quantity(amount, ours).to(foreign).magnitude
    assert back(amount) == pytest.approx(expected, rel=1e-12, abs=1e-9)


@pytest.mark.parametrize(("there", "back", "foreign", "ours"), PAIRS)
@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf, -1000.0])
def test_refuses_what_is_no_quantity(there, back, foreign, ours, bad):
    for convert in (there, back):
        with pytest.raises(OutOfRange) as refused:
            convert(bad)
        assert refused.value.argument


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
def test_below_the_sea_is_an_altitude_and_infinity_is_none(bad):
    assert units.metres_from_feet(-10) == pytest.approx(-3.048)
    for convert in FEET[:2]:
        with pytest.raises(OutOfRange):
            convert(bad)


def test_exact_by_definition():
    """NIST SP 811, appendix B.8."""
    assert units.grams_from_ounces(16) == 453.59237
    assert units.ml_from_us_fluid_ounces(128) == 3785.411784
    assert units.metres_from_feet(5280) == 1609.344
    assert units.ml_from_imp_fluid_ounces(160) == 4546.09
