"""Heat against the standard atmosphere (``ambiance``), IAPWS-97 and energy balances done by hand."""

import math
import warnings

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guides.calculations.plan import Height
from guides.calculations.thermal import (
    air_pressure_pa,
    boiling_point_c,
    ice_balance,
    kettle_c_after,
    kettle_cap_c,
    kettle_set_point_c,
    mixing_c,
    stream_loss_c,
)
from guides.calculations.validity import OutOfRange

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from ambiance import Atmosphere

# US Standard Atmosphere 1976 (library ``ambiance``) with IAPWS-97: metres, degrees C.
BOILS = [(0, 99.974), (1000, 96.649), (1500, 94.984), (2000, 93.317), (3000, 89.977)]


@pytest.mark.parametrize("altitude_m", [-400, 0, 3, 500, 1480, 2600, 3640, 5100, 6000])
def test_pressure_agrees_with_the_standard_atmosphere(altitude_m: float) -> None:
    assert air_pressure_pa(altitude_m) == pytest.approx(float(Atmosphere(altitude_m).pressure[0]), rel=1e-5)


@pytest.mark.parametrize(("altitude_m", "boils_c"), BOILS)
def test_boiling_point(altitude_m: float, boils_c: float) -> None:
    assert boiling_point_c(altitude_m) == pytest.approx(boils_c, abs=0.002)


@given(st.floats(0, 3000))
def test_one_degree_per_300_m_is_a_good_rule_up_to_3000_m(altitude_m: float) -> None:
    assert boiling_point_c(altitude_m) == pytest.approx(99.974 - altitude_m / 300, abs=0.011)


@given(st.floats(-500, 6000), st.floats(-500, 6000))
def test_water_boils_lower_the_higher_one_is(one_m: float, other_m: float) -> None:
    low, high = sorted((one_m, other_m))
    assert boiling_point_c(high) <= boiling_point_c(low)


def test_never_asks_for_more_than_a_degree_below_boiling() -> None:
    assert kettle_cap_c(1500) == pytest.approx(94.984 - 1, abs=0.002)


@pytest.mark.parametrize("altitude_m", [9000, -501, math.nan, math.inf])
def test_no_boiling_point_where_nobody_brews(altitude_m: float) -> None:
    with pytest.raises(OutOfRange, match="altitude_m"):
        boiling_point_c(altitude_m)


# Energy balance, coffee 1.5 J/g/K at 20 degrees C, water 4.2083 J/g/K.
@pytest.mark.parametrize(
    ("coffee_g", "water_g", "water_c", "mix_c"), [(15, 250, 93, 91.471), (20, 300, 94, 92.282), (20, 60, 93, 85.248)]
)
def test_mixing(coffee_g: float, water_g: float, water_c: float, mix_c: float) -> None:
    assert mixing_c(coffee_g, 20, water_g, water_c, 4.2083) == pytest.approx(mix_c, abs=0.001)


@given(st.floats(0, 300), st.floats(0, 40), st.floats(1, 3000), st.floats(0, 100))
def test_a_mix_lies_between_its_parts(coffee_g: float, coffee_c: float, water_g: float, water_c: float) -> None:
    low, high = sorted((coffee_c, water_c))
    assert low - 1e-9 <= mixing_c(coffee_g, coffee_c, water_g, water_c) <= high + 1e-9


def test_kettle_set_point_worked_by_hand() -> None:
    # 89 + [1.5 * 15 * (89 - 20) + 35 * (89 - 65)] / (4.2 * 180) + 1 = 89 + 2392.5 / 756 + 1
    assert kettle_set_point_c(89, 180, 15, 35, coffee_c=20, brewer_c=65, height=Height.LOW) == pytest.approx(
        93.165, abs=1e-3
    )


@given(st.floats(60, 95), st.floats(30, 600), st.floats(5, 60), st.floats(0, 200))
def test_set_point_and_mixing_are_inverse_without_a_brewer(
    slurry_c: float, water_g: float, dose_g: float, brewer_j_k: float
) -> None:
    kettle_c = kettle_set_point_c(slurry_c, water_g, dose_g, brewer_j_k, brewer_c=slurry_c) - stream_loss_c(None)
    if kettle_c <= 100:
        assert mixing_c(dose_g, 20, water_g, kettle_c) == pytest.approx(slurry_c, abs=1e-6)


def test_a_high_stream_cools_more() -> None:
    losses = [stream_loss_c(height) for height in (Height.LOW, Height.MEDIUM, Height.HIGH)]
    assert losses == sorted(losses)
    assert losses[0] == stream_loss_c(None) == 1


def test_a_kettle_loses_about_a_degree_in_a_minute() -> None:  # common practice, no source
    assert 94 - kettle_c_after(94, 60) == pytest.approx(1.0, abs=0.2)


def test_ice_worked_by_hand() -> None:
    # [4.2 * 148 * 75 - 110 * (334 + 2.1 * 18)] / [4.2 * 258] = (46620 - 40898) / 1083.6
    assert ice_balance(148, 75, 110, -18) == pytest.approx(5.28, abs=0.005)


def test_too_much_ice_is_left_over() -> None:
    assert ice_balance(100, 60, 200) < 0


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: mixing_c(0, 20, 0, 90), "water_g"),
        (lambda: mixing_c(15, 20, 200, 120), "water_c"),
        (lambda: mixing_c(-1, 20, 200, 90), "coffee_g"),
        (lambda: kettle_set_point_c(89, 0, 15, 35), "water_g"),
        (lambda: kettle_set_point_c(math.nan, 180, 15, 35), "slurry_c"),
        (lambda: ice_balance(148, 75, 110, 2), "ice_c"),
        (lambda: ice_balance(0, 75, 0), "ice_g"),
        (lambda: kettle_c_after(-20, 60), "kettle_c"),
        (lambda: kettle_c_after(94, -1), "time_s"),
    ],
)
def test_impossible_heat_is_refused(call, argument: str) -> None:
    with pytest.raises(OutOfRange) as caught:
        call()
    assert caught.value.argument.startswith(argument)
    assert caught.value.reason
