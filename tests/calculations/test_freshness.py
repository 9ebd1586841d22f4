"""Windows, gas levels and the volume of gas, the last against the ideal gas law by `pint`."""

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st
from molmass import Formula

from guides.calculations.freshness import (
    DEFAULT_DAYS,
    BestDays,
    GasLevel,
    Phase,
    RoastLevel,
    best_days,
    co2_ml_per_g,
    first_pour_g,
    gas_level,
    phase,
)
from guides.calculations.validity import OutOfRange

LEVELS = list(GasLevel)
PHASES = list(Phase)


def test_common_practice_days():
    """Common practice, no source: light 10–30, medium 7–21, dark 4–14 days."""
    assert DEFAULT_DAYS[RoastLevel.LIGHT] == BestDays(10, 30)
    assert DEFAULT_DAYS[RoastLevel.MEDIUM] == BestDays(7, 21)
    assert DEFAULT_DAYS[RoastLevel.DARK] == BestDays(4, 14)


@given(age=st.integers(0, 400), later=st.integers(0, 50), roast=st.sampled_from(RoastLevel))
def test_a_lot_only_moves_on(age, later, roast):
    days = best_days(roast)
    assert PHASES.index(phase(age, days)) <= PHASES.index(phase(age + later, days))
    assert phase(age + later, days, frozen_days=later) == phase(age, days)


def test_both_ends_of_the_window_belong_to_it():
    days = BestDays(8, 25)
    assert [phase(age, days) for age in (7, 8, 25, 26)] == [Phase.REST, Phase.BEST, Phase.BEST, Phase.USE_SOON]


def test_a_lots_own_days_come_first():
    assert best_days(RoastLevel.DARK, BestDays(6, 40)) == BestDays(6, 40)
    for bad in (BestDays(-1, 5), BestDays(9, 8)):
        with pytest.raises(OutOfRange):
            best_days(RoastLevel.DARK, bad)


@given(seen=st.sampled_from(GasLevel), at=st.integers(0, 60), age=st.integers(0, 200), later=st.integers(0, 60))
def test_gas_falls_with_age(seen, at, age, later):
    now, then = gas_level(seen, at, age), gas_level(seen, at, age + later)
    assert LEVELS.index(then) <= LEVELS.index(now)
    assert gas_level(seen, at, at) == seen
    assert gas_level(seen, at, at + 100) == GasLevel.RESTED


def test_gas_in_a_bag():
    """10 mg/g at 20 °C and 101325 Pa: the ideal gas law with constants of `pint`, molar mass of `molmass`."""
    ureg = pint.UnitRegistry()
    moles = ureg.Quantity(0.010, "g") / ureg.Quantity(Formula("CO2").mass, "g/mol")
    volume = moles * ureg.Quantity(1, "molar_gas_constant") * ureg.Quantity(293.15, "K") / ureg.Quantity(101325, "Pa")
    assert co2_ml_per_g(10) == pytest.approx(volume.to("mL").magnitude, rel=1e-5)
    assert co2_ml_per_g(10) == pytest.approx(5.466, abs=0.0005)
    assert 250 * co2_ml_per_g(10) / 1000 == pytest.approx(1.37, abs=0.005)


def test_first_pour_is_two_to_three_doses():
    """Common practice, no source."""
    assert [first_pour_g(16, gas) for gas in GasLevel] == [32, 40, 48]


@pytest.mark.parametrize("bad", [-1, math.nan, math.inf])
def test_refuses_bad_numbers(bad):
    with pytest.raises(OutOfRange, match="co2_mg_per_g"):
        co2_ml_per_g(bad)
    with pytest.raises(OutOfRange, match="age_days"):
        gas_level(GasLevel.LIVELY, 7, bad)
    with pytest.raises(OutOfRange, match="frozen_days"):
        phase(5, BestDays(8, 25), frozen_days=6)
    with pytest.raises(OutOfRange, match="future"):
        phase(-1, BestDays(8, 25))
