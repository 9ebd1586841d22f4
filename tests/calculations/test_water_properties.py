"""Water against the industrial formulation (IAPWS-97), from the library ``iapws``."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from iapws import IAPWS97
from iapws.iapws97 import _TSat_P

from guides.calculations.validity import OutOfRange
from guides.calculations.water_properties import boiling_c, density_kg_m3, heat_capacity_j_kg_k, viscosity_pa_s

TEMPS_C = [0.01, *range(1, 100)]


@pytest.mark.parametrize("temp_c", TEMPS_C)
def test_density_viscosity_and_heat_capacity_agree_with_iapws_97(temp_c: float) -> None:
    water = IAPWS97(T=temp_c + 273.15, P=0.101325)
    assert density_kg_m3(temp_c) == pytest.approx(water.rho, rel=2e-5)
    assert viscosity_pa_s(temp_c) == pytest.approx(water.mu, rel=1e-4)
    assert heat_capacity_j_kg_k(temp_c) == pytest.approx(water.cp * 1000, rel=1e-3)


# IAPWS-97 at 101325 Pa: temperature, kg/m3, J/kg/K, mPa s.
PRINTED = [
    (20, 998.206, 4184.8, 1.00160),
    (60, 983.211, 4182.8, 0.46604),
    (90, 965.319, 4205.0, 0.31418),
    (93, 963.279, 4208.3, 0.30372),
    (96, 961.196, 4211.7, 0.29387),
]


@pytest.mark.parametrize(("temp_c", "density", "heat_capacity", "viscosity_mpa_s"), PRINTED)
def test_printed_values(temp_c: float, density: float, heat_capacity: float, viscosity_mpa_s: float) -> None:
    assert density_kg_m3(temp_c) == pytest.approx(density, rel=2e-5)
    assert heat_capacity_j_kg_k(temp_c) == pytest.approx(heat_capacity, rel=1e-3)
    assert viscosity_pa_s(temp_c) * 1000 == pytest.approx(viscosity_mpa_s, rel=1e-4)


@given(st.floats(1e4, 2e5))
def test_boiling_agrees_with_iapws_97(pressure_pa: float) -> None:
    assert boiling_c(pressure_pa) == pytest.approx(_TSat_P(pressure_pa / 1e6) - 273.15, abs=1e-6)


@pytest.mark.parametrize("formula", [density_kg_m3, viscosity_pa_s, heat_capacity_j_kg_k])
@pytest.mark.parametrize("temp_c", [-20, -0.1, 100.1, 120, float("nan"), float("inf")])
def test_ice_and_steam_are_refused(formula, temp_c: float) -> None:
    with pytest.raises(OutOfRange, match="temp_c"):
        formula(temp_c)


@pytest.mark.parametrize("pressure_pa", [0, -1, 9_999, 200_001, float("nan")])
def test_air_nobody_brews_in_is_refused(pressure_pa: float) -> None:
    with pytest.raises(OutOfRange, match="pressure_pa"):
        boiling_c(pressure_pa)
