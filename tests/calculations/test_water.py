"""Water chemistry against `molmass` (IUPAC masses) and `pint` (grain, gallons)."""

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st
from molmass import Formula

from guides.calculations import constants
from guides.calculations.validity import OutOfRange
from guides.calculations.water import (
    TARGET,
    Salt,
    Unit,
    Water,
    beyond_target,
    from_mg_l,
    mixed_from_salts,
    salt_for_mg_l,
    tap_share,
    to_mg_l,
)

CALCITE = Formula("CaCO3").mass


@pytest.mark.parametrize(
    ("salt", "formula", "calcites", "printed"),
    [
        (Salt.MAGNESIUM_SULFATE, "MgSO4(H2O)7", 1, 0.40607),
        (Salt.CALCIUM_CHLORIDE, "CaCl2(H2O)2", 1, 0.68080),
        (Salt.SODIUM_BICARBONATE, "NaHCO3", 0.5, 0.59571),
        (Salt.POTASSIUM_BICARBONATE, "KHCO3", 0.5, 0.49986),
    ],
)
def test_salts_by_molar_mass(salt, formula, calcites, printed):
    per_mg = 1 / salt_for_mg_l(salt, 1)
    assert per_mg == pytest.approx(calcites * CALCITE / Formula(formula).mass, rel=2e-5)
    assert per_mg == pytest.approx(printed, abs=5e-6)


def test_units_of_reports():
    """°dH: 10 mg/L CaO; °fH: 10 mg/L CaCO3; °Clark and grain: a grain in an imperial and a US gallon."""
    ureg = pint.UnitRegistry()
    assert to_mg_l(1, Unit.MMOL_L) == pytest.approx(CALCITE, abs=0.005)
    assert to_mg_l(1, Unit.GERMAN) == pytest.approx(10 * CALCITE / Formula("CaO").mass, abs=5e-4)
    assert to_mg_l(1, Unit.FRENCH) == 10
    for unit, gallon in ((Unit.CLARK, "imperial_gallon"), (Unit.GRAIN, "gallon")):
        expected = ureg.Quantity(1, f"grain/{gallon}").to("mg/L").magnitude
        assert to_mg_l(1, unit) == pytest.approx(expected, abs=5e-4)


@given(value=st.floats(0, 40), unit=st.sampled_from(Unit))
def test_units_both_ways(value, unit):
    assert from_mg_l(to_mg_l(value, unit), unit) == pytest.approx(value)


def test_sodium_of_the_bicarbonate():
    """40 mg/L alkalinity by NaHCO3 is 67.15 mg/L and adds 18.4 mg/L Na: above the SCAA target of 10."""
    water = mixed_from_salts({Salt.SODIUM_BICARBONATE: salt_for_mg_l(Salt.SODIUM_BICARBONATE, 40)})
    assert salt_for_mg_l(Salt.SODIUM_BICARBONATE, 40) == pytest.approx(67.15, abs=0.005)
    assert water.sodium_mg_l == pytest.approx(18.4, abs=0.05)
    assert constants.NAHCO3_SODIUM.value == pytest.approx(Formula("Na").mass / Formula("NaHCO3").mass, rel=2e-5)
    assert "sodium" in beyond_target(water)


def test_target_of_the_trade():
    """SCAA water standard: TDS 150 (75–250), calcium hardness 68 (17–85), alkalinity 40, pH 7 (6.5–7.5), Na 10."""
    assert beyond_target(Water(68, 40, 10)) == ()
    assert beyond_target(Water(200, 190, 10)) == ("calcium_hardness", "alkalinity")
    assert (TARGET["dissolved_solids"].low, TARGET["dissolved_solids"].high) == (75, 250)


@given(soft=st.floats(0, 20), more=st.floats(1, 500), share=st.floats(0, 1))
def test_a_blend_is_what_was_wanted(soft, more, share):
    tap = soft + more
    wanted = min(soft + share * more, tap)
    found = tap_share(tap, soft, wanted)
    assert found * tap + (1 - found) * soft == pytest.approx(wanted, abs=1e-6)


def test_blend_worked():
    """190 → 50 with soft water of 2: 25.5 % tap water, arithmetic."""
    assert tap_share(190, 2, 50) == pytest.approx(0.255, abs=0.0005)
    for wanted in (1, 191):
        with pytest.raises(OutOfRange, match="wanted_mg_l"):
            tap_share(190, 2, wanted)
    with pytest.raises(OutOfRange, match="tap_mg_l"):
        tap_share(2, 2, 2)


@pytest.mark.parametrize("bad", [-1, math.nan, math.inf, 6000])
def test_refuses_what_is_not_drinking_water(bad):
    with pytest.raises(OutOfRange):
        to_mg_l(bad, Unit.MG_L)
    with pytest.raises(OutOfRange):
        salt_for_mg_l(Salt.CALCIUM_CHLORIDE, bad)
    with pytest.raises(OutOfRange):
        mixed_from_salts({Salt.CALCIUM_CHLORIDE: bad})
