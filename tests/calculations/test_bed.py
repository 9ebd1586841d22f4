"""The bed's resistance against textbook values and the library ``fluids``."""

import math

import pytest
from fluids.packed_bed import Carman, Ergun
from hypothesis import given
from hypothesis import strategies as st

from guides.calculations.bed import bed_shape, permeability_m2, resistance_per_m3, sauter_um
from guides.calculations.constants import WET_BED_ML_PER_G
from guides.calculations.validity import OutOfRange
from guides.calculations.vessel import Cone, Cylinder, LevelTable, volume_ml

WATER_93 = {"rho": 963.279, "mu": 3.0372e-4}  # IAPWS-97
BED = {"dp": 300e-6, "voidage": 0.4, "vs": 1e-3, "L": 0.03}
CONE = Cone(30, 10)


def darcy_pa() -> float:
    """Pressure drop of the reference bed: Darcy's law over our permeability."""
    return WATER_93["mu"] * BED["vs"] * BED["L"] / permeability_m2(300, 0.4)


def test_kozeny_carman_textbook_value() -> None:
    # 0.4^3 * (300e-6)^2 / (180 * 0.6^2); the pressure over 3 cm at 1 mm/s and 93 degrees C is 102.507 Pa
    assert permeability_m2(300, 0.4) == pytest.approx(8.8889e-11, rel=1e-4)
    assert darcy_pa() == pytest.approx(102.507, rel=1e-4)


@given(st.floats(50, 1500), st.floats(0.3, 0.6))
def test_carman_of_fluids_comes_down_to_it_in_creeping_flow(diameter_um: float, porosity: float) -> None:
    # Carman adds an inertial term that fades with speed: what is left at a nanometre a second is Kozeny-Carman
    creeping = {"dp": diameter_um * 1e-6, "voidage": porosity, "vs": 1e-9, "L": 0.03}
    darcy = WATER_93["mu"] * 1e-9 * 0.03 / permeability_m2(diameter_um, porosity)
    assert darcy == pytest.approx(Carman(**creeping, **WATER_93), rel=1e-5)


def test_other_published_correlations_lie_close() -> None:
    # fluids.packed_bed: Carman 104.98 Pa, Ergun 87.00 Pa against our 102.507 Pa: within 18 %
    assert Carman(**BED, **WATER_93) == pytest.approx(104.98, abs=0.01)
    assert Ergun(**BED, **WATER_93) == pytest.approx(87.00, abs=0.01)
    assert darcy_pa() == pytest.approx(Carman(**BED, **WATER_93), rel=0.03)
    assert darcy_pa() == pytest.approx(Ergun(**BED, **WATER_93), rel=0.18)


def test_sauter_mean_of_a_published_drip_grind() -> None:
    # Mo et al. 2023, Sci. Rep. 13:16374: d32 214 um; their d43, 673 um, stands in for the median
    assert sauter_um(673) == pytest.approx(214, rel=0.005)


def test_loose_grounds_lie_in_the_published_range() -> None:
    # Wadsworth et al. 2026, R. Soc. Open Sci. 13:252031: 1.6e-11 to 1.9e-10 m2
    for grind_um in (400, 700, 1000):
        assert 1.6e-11 < permeability_m2(sauter_um(grind_um)) < 1.9e-10


@given(st.floats(100, 2500), st.floats(100, 2500))
def test_finer_grounds_have_a_smaller_sauter_mean(one_um: float, other_um: float) -> None:
    fine, coarse = sorted((one_um, other_um))
    assert sauter_um(fine) <= sauter_um(coarse) <= coarse


def test_cone_factor_agrees_with_the_integral_of_area() -> None:
    bed = bed_shape(CONE, 20)
    slices = 20_000
    tip = 0.010 / math.tan(math.radians(30))
    length_over_area = sum(
        bed.depth_m
        / slices
        / (math.pi * ((tip + (index + 0.5) * bed.depth_m / slices) * math.tan(math.radians(30))) ** 2)
        for index in range(slices)
    )
    assert 1 / bed.factor_m == pytest.approx(length_over_area, rel=1e-6)


def test_cone_paper_is_the_lateral_area_of_a_frustum() -> None:
    bed = bed_shape(CONE, 20)
    top = 0.010 + bed.depth_m * math.tan(math.radians(30))
    slant = bed.depth_m / math.cos(math.radians(30))
    assert bed.paper_m2 == pytest.approx(math.pi * (0.010 + top) * slant, rel=1e-9)


def test_cylinder_factor_is_area_over_length() -> None:
    bed = bed_shape(Cylinder(40), 20)
    area = math.pi * 0.04**2
    assert bed.depth_m == pytest.approx(WET_BED_ML_PER_G.value * 20e-6 / area)
    assert bed.factor_m == pytest.approx(area / bed.depth_m)
    assert bed.paper_m2 == pytest.approx(area)


@pytest.mark.parametrize("dose_g", [12, 20, 35])
def test_a_weighed_cone_resists_as_the_cone_it_is(dose_g: float) -> None:
    # all but the outlet disc, which counts as paper in a table
    levels = tuple(float(level) for level in range(0, 101, 2))
    table = LevelTable(levels, tuple(volume_ml(CONE, level) for level in levels))
    assert resistance_per_m3(table, dose_g, 600) == pytest.approx(resistance_per_m3(CONE, dose_g, 600), rel=0.04)


def test_a_weighed_cylinder_resists_as_the_cylinder_it_is() -> None:
    table = LevelTable((0.0, 50.0, 200.0), (0.0, volume_ml(Cylinder(40), 50), volume_ml(Cylinder(40), 200)))
    assert resistance_per_m3(table, 20, 600) == pytest.approx(resistance_per_m3(Cylinder(40), 20, 600), rel=1e-9)


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: sauter_um(99), "grind_um"),
        (lambda: sauter_um(math.nan), "grind_um"),
        (lambda: permeability_m2(300, 0.9), "porosity"),
        (lambda: permeability_m2(-1), "diameter_um"),
        (lambda: bed_shape(CONE, 3000), "dose_g"),
        (lambda: bed_shape(CONE, 0), "dose_g"),
        (lambda: bed_shape(Cone(30, 0), 20), "outlet_radius_mm"),
        (lambda: resistance_per_m3(CONE, 20, 600, 0), "flow_factor"),
        (lambda: resistance_per_m3(CONE, 20, 600, math.inf), "flow_factor"),
    ],
)
def test_impossible_beds_are_refused(call, argument: str) -> None:
    with pytest.raises(OutOfRange) as caught:
        call()
    assert caught.value.argument == argument
