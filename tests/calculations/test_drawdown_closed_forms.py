"""The stepping loop against draining problems that have an answer in closed form."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guides.calculations.phases import Phase
from guides.calculations.slurry import Bench, Slurry, advance
from guides.calculations.vessel import Cone, Cylinder, gauge, volume_ml
from guides.calculations.water_properties import density_kg_m3, viscosity_pa_s

NO_COFFEE_G = 1e-9
GRAVITY = 9.80665
FOREVER = Phase(1e5, ends_when_drained=True)
STEP_S = 0.25


def bench(level_mm, resistance_per_m3: float, dose_g: float = NO_COFFEE_G, temp_c: float = 93) -> Bench:
    """A bench whose room is as warm as its water and whose grounds are full: nothing but draining goes on."""
    return Bench(dose_g, NO_COFFEE_G, resistance_per_m3, level_mm, 1.0, temp_c, temp_c)


def full(free_g: float, temp_c: float = 93) -> Slurry:
    return Slurry(temp_c, free_g=free_g, absorbed_g=NO_COFFEE_G, soaked_s=0.0)


def per_head(temp_c: float, resistance_per_m3: float) -> float:
    """Volume flow in m3/s for each m of head: Darcy's law."""
    return density_kg_m3(temp_c) * GRAVITY / (viscosity_pa_s(temp_c) * resistance_per_m3)


def test_falling_head_through_a_bed_of_constant_area() -> None:
    # Darcy: k 1e-11 m2, bed 4 cm, water over it 6 -> 0 cm, so head 10 -> 4 cm above the outlet; 93 degrees C: 117.84 s.
    radius_mm, bed_m, k = 200.0, 0.04, 1e-11
    area = math.pi * (radius_mm / 1000) ** 2
    resistance = bed_m / (k * area)
    bed_ml = volume_ml(Cylinder(radius_mm), bed_m * 1000)
    brew = bench(lambda volume: gauge(Cylinder(radius_mm))(volume + bed_ml), resistance)
    slurry = full(area * 0.06 * density_kg_m3(93) * 1000)
    advance(slurry, brew, FOREVER, STEP_S)
    assert bed_m / per_head(93, resistance) * area / bed_m * math.log(10 / 4) == pytest.approx(117.84, abs=0.01)
    assert slurry.drained_s == pytest.approx(117.84, abs=0.05)


@given(st.floats(15, 45), st.floats(40, 600), st.floats(3e11, 3e12), st.floats(20, 99))
def test_cone_without_a_bed(half_angle_deg: float, free_g: float, resistance: float, temp_c: float) -> None:
    # V = a H^3 and Q = c H give t = (3a / 2c)(H0^2 - H1^2)
    cone = Cone(half_angle_deg, 0)
    slurry, warm = full(free_g, temp_c), round(temp_c)
    slurry = replace(slurry, slurry_c=warm)
    brew = bench(gauge(cone), resistance, temp_c=warm)
    advance(slurry, brew, FOREVER, STEP_S)
    a = math.pi * math.tan(math.radians(half_angle_deg)) ** 2 / 3
    c = per_head(warm, resistance)
    start, end = ((grams / density_kg_m3(warm) / 1000 / a) ** (1 / 3) for grams in (free_g, 2.0))
    exact_s = 3 * a / (2 * c) * (start**2 - end**2)
    assert slurry.drained_s == pytest.approx(exact_s, rel=0.002, abs=0.1)


@given(st.floats(20, 90), st.floats(50, 800), st.floats(3e11, 3e12))
def test_cylinder_without_a_bed_empties_exponentially(radius_mm: float, free_g: float, resistance: float) -> None:
    slurry = full(free_g)
    advance(slurry, bench(gauge(Cylinder(radius_mm)), resistance), FOREVER, STEP_S)
    area = math.pi * (radius_mm / 1000) ** 2
    exact_s = area / per_head(93, resistance) * math.log(free_g / 2.0)
    assert slurry.drained_s == pytest.approx(exact_s, rel=0.002, abs=0.1)


def test_uptake_is_an_exponential_with_its_time_constant() -> None:
    # plenty of water, nothing running off: absorbed = r D (1 - exp(-t / 8 s)); 60 % after 8 ln(2.5) s
    brew = Bench(20.0, 42.0, 1e12, gauge(Cone(30, 10)), 1.0, 93, 93)
    slurry = Slurry(93.0, free_g=300.0)
    advance(slurry, brew, Phase(60, is_open=False), STEP_S)
    assert slurry.soaked_s == pytest.approx(8 * math.log(2.5), abs=0.01)
    assert slurry.absorbed_g == pytest.approx(42 * (1 - math.exp(-60 / 8)), rel=1e-3)


def test_standing_water_cools_to_the_room_as_newton_says() -> None:
    brew = Bench(20.0, 42.0, 1e12, gauge(Cone(30, 10)), 100.0, 93, 20)
    slurry = Slurry(93.0, free_g=200.0, absorbed_g=42.0, soaked_s=0.0)
    advance(slurry, brew, Phase(300, is_open=False), STEP_S)
    held_j_k = 4.2 * 242 + 100
    assert slurry.slurry_c == pytest.approx(20 + 73 * math.exp(-0.5 * 300 / held_j_k), abs=0.01)


def test_age_of_still_water_is_the_time_it_stood() -> None:
    brew = bench(gauge(Cone(30, 10)), 1e12)
    slurry = full(200)
    advance(slurry, brew, Phase(90, is_open=False), STEP_S)
    assert slurry.age_g_s / slurry.free_g == pytest.approx(90)


def test_age_of_water_poured_evenly_is_half_the_pour() -> None:
    slurry = Slurry(93.0, absorbed_g=NO_COFFEE_G, soaked_s=0.0)
    advance(slurry, bench(gauge(Cone(30, 10)), 1e12), Phase(40, pour_g_s=5, is_open=False), STEP_S)
    assert slurry.free_g == pytest.approx(200)
    assert slurry.age_g_s / slurry.free_g == pytest.approx(20, abs=0.01)
