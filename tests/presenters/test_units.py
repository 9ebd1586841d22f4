"""Figures in the units a reader asked for. Outside check: `pint`, which holds the definitions of NIST SP 811."""

from __future__ import annotations

import re

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from guides.calculations.rounding import whole_grams
from guides.presenters.numbers import NO_BREAK, Figures
from guides.presenters.units import Altitude, Mass, Temperature, Units, Volume

REGISTRY = pint.UnitRegistry()
OUNCES = Figures("en", Units(mass=Mass.OUNCE))


def number_in(text: str) -> float:
    return float(re.sub(r"[^0-9.-]", "", text.split(NO_BREAK)[0]))


@given(st.floats(0, 5000))
def test_grams_are_shown_in_ounces(mass_g):
    expected = REGISTRY.Quantity(mass_g, "gram").to("ounce").magnitude
    assert number_in(OUNCES.grams(mass_g)) == pytest.approx(expected, abs=0.00501)


@given(st.floats(0, 100))
def test_degrees_are_shown_in_fahrenheit(temp_c):
    expected = REGISTRY.Quantity(temp_c, "degC").to("degF").magnitude
    shown = Figures("en", Units(temperature=Temperature.FAHRENHEIT)).celsius(temp_c)
    assert number_in(shown) == pytest.approx(expected, abs=0.501)


@pytest.mark.parametrize(
    ("volume", "name"), [(Volume.US_OUNCE, "US_fluid_ounce"), (Volume.IMPERIAL_OUNCE, "imperial_fluid_ounce")]
)
@given(volume_ml=st.floats(0, 5000))
def test_millilitres_are_shown_in_fluid_ounces(volume, name, volume_ml):
    expected = REGISTRY.Quantity(volume_ml, "milliliter").to(name).magnitude
    assert number_in(Figures("en", Units(volume=volume)).millilitres(volume_ml)) == pytest.approx(expected, abs=0.0501)


@given(st.floats(-500, 6000))
def test_altitudes_are_shown_in_feet(altitude_m):
    expected = REGISTRY.Quantity(altitude_m, "meter").to("foot").magnitude
    shown = Figures("en", Units(altitude=Altitude.FOOT)).metres(altitude_m)
    assert number_in(shown.replace("\N{MINUS SIGN}", "-")) == pytest.approx(expected, abs=0.501)
    assert shown.endswith(f"{NO_BREAK}ft")


@given(st.lists(st.floats(5, 400), min_size=2, max_size=6))
def test_scale_targets_in_ounces_rise_and_never_collapse(pours_g):
    """A hundredth of an ounce is 0.28 g, finer than the gram to which every target is rounded."""
    targets = [sum(pours_g[: index + 1]) for index in range(len(pours_g))]
    shown = [number_in(OUNCES.grams(target)) for target in whole_grams(targets)]
    assert shown == sorted(set(shown))


def test_units_leave_the_usual_figures_alone():
    for language in ("en", "sv", "fi"):
        assert Figures(language).grams(15) == Figures(language, Units()).grams(15)
    assert Figures("fi", Units(mass=Mass.OUNCE)).grams(60) == f"2,12{NO_BREAK}oz"
