"""The catalogue's formulas of vessel, bed and heat, with their outside checks."""

from __future__ import annotations

import math
from functools import partial
from typing import Final

from . import bed, thermal, vessel, water_properties, what_fits
from .catalogue import Check, Formula
from .constants import FIT_BREWER_HEAT_J_K, FIT_D90_PER_MEDIAN, FIT_HALF_ANGLE_DEG, FIT_OUTLET_RADIUS_MM
from .drawdown import simulate
from .freshness import GasLevel
from .plan import Action, Plan, Step
from .vessel import Brewer, Cone, Flow

PUBLISHED_DRIPS: Final = ((1814.6, 175.0, 6.0), (1010.1, 202.7, 26.7), (592.1, 258.0, 29.5))
"""D90 in um, drained in s and its standard deviation (Lee & Chang 2026)."""
_BOILING: Final = ((0, 99.974), (1000, 96.649), (1500, 94.984), (2000, 93.317), (3000, 89.977))
_WATER: Final = (
    (20, 998.206, 4184.8, 1.00160),
    (60, 983.211, 4182.8, 0.46604),
    (90, 965.319, 4205.0, 0.31418),
    (93, 963.279, 4208.3, 0.30372),
    (96, 961.196, 4211.7, 0.29387),
)
"""Degrees C; kg/m3, J/kg/K, mPa s at 101325 Pa."""
_ANY_GRIND_UM: Final = 700.0
_MIXES: Final = ((15, 250, 93, 91.471), (20, 300, 94, 92.282), (20, 60, 93, 85.248))


def published_drip(d90_um: float) -> Plan:
    """Give the plan of the published series: 20 g, 300 g at 93 degrees C in three pours, in a cone.

    Args:
        d90_um: size below which 90 % of the grounds lie, in um.

    Returns:
        The plan, the median taken as D90/1.7.

    Source: lee-chang-2026; the cone and the median are own defaults.

    >>> published_drip(1010.1).water_g
    300
    """
    cone = Brewer(Cone(FIT_HALF_ANGLE_DEG.value, FIT_OUTLET_RADIUS_MM.value), 500, FIT_BREWER_HEAT_J_K.value, Flow.OPEN)
    pours = ((0, 15, 60), (30, 70, 180), (80, 120, 300))
    steps = tuple(Step(Action.POUR, start, end, target) for start, end, target in pours)
    return Plan(20, 300, 93, d90_um / FIT_D90_PER_MEDIAN.value, cone, steps)


def _drained_s(plan: Plan, flow_factor: float = 1.0) -> float:
    found = simulate(plan, flow_factor=flow_factor).drained_s
    return math.inf if found is None else found


def _millipascal_seconds(temp_c: float) -> float:
    return water_properties.viscosity_pa_s(temp_c) * 1000


def valve_brew() -> Plan:
    """Give the valve brew of common practice: 20 g, 270 g poured by 60 s, opened at 25 s, kettle 94 degrees C.

    Returns:
        The plan; its grind counts through ``as_sauter_300``.

    Source: common practice, no source.

    >>> valve_brew().steps[1].start_s
    25
    """
    cone = Brewer(Cone(30, 10), 500, FIT_BREWER_HEAT_J_K.value, Flow.VALVE)
    steps = (Step(Action.POUR, 0, 25, 120), Step(Action.OPEN, 25, 25), Step(Action.POUR, 25, 60, 270))
    return Plan(20, 270, 94, _ANY_GRIND_UM, cone, steps, valve_shut_at_start=True)


def as_sauter_300(flow_factor: float) -> float:
    """Give the flow factor at which the valve brew's bed flows as one of 300 um Sauter mean does.

    Args:
        flow_factor: of the coffee.

    Returns:
        Flow factor to simulate with: a bed with the usual fines cannot have so large a Sauter mean.

    Source: carman-1937 (permeability grows with the square of the diameter).

    >>> as_sauter_300(1.0) > 1
    True
    """
    return float(flow_factor * (300 / bed.sauter_um(_ANY_GRIND_UM)) ** 2)


FORMULAS: Final = (
    Formula(
        "vessel",
        "volume of an unmeasured 60-degree cone",
        "V = π h³ / 9",
        "an estimate: weighing the brewer full is better",
        "vessel",
        checks=(Check("9 cm", 254.0, "mL", 0.5, partial(vessel.estimated_cone_ml, 90), origin="geometry"),),
    ),
    Formula(
        "vessel",
        "most water above a shut valve",
        "Wmax = 0.96 [V - D (s + f)]",
        "hot water; shown rounded down to 10 g",
        "what_fits",
        (
            "DRY_BED_ML_PER_G",
            "FOAM_RESTED_ML_PER_G",
            "FOAM_LIVELY_ML_PER_G",
            "FOAM_VERY_FRESH_ML_PER_G",
            "HOT_WATER_FILL",
            "SHUT_MARGIN",
        ),
        checks=(
            Check(
                "V 240 mL, 15 g, lively",
                194.0,
                "g",
                0.5,
                partial(what_fits.most_water_g, 240, 15, GasLevel.LIVELY),
                origin="arithmetic",
            ),
        ),
    ),
    Formula(
        "bed",
        "permeability",
        "k = ε³ d² / [180 (1 - ε)²]",
        "creeping flow",
        "bed",
        ("BED_POROSITY", "FINES_SHARE", "FINES_UM"),
        ("carman-1937",),
        checks=(
            Check(
                "300 um, ε 0.40",
                88.889,
                "µm²",
                0.0005,
                lambda: bed.permeability_m2(300, 0.4) * 1e12,
                "carman-1937",
            ),
        ),
    ),
    Formula(
        "bed",
        "a draining brew",
        "Q = ρ g H / [µ (1/(k G) + R/A)], stepped through time with uptake and heat",
        "cones, cylinders and weighed vessels; published models miss real times by about 40 s",
        "drawdown",
        (
            "PERMEABILITY_SCALE",
            "PAPER_PER_M",
            "WET_BED_ML_PER_G",
            "UPTAKE_S",
            "UPTAKE_BEFORE_DRIP",
            "DRIP_FALLS_S",
            "DRAINED_BELOW_G",
            "FIT_D90_PER_MEDIAN",
            "FIT_OUTLET_RADIUS_MM",
            "FIT_HALF_ANGLE_DEG",
        ),
        ("lee-chang-2026", "wadsworth-2026", "mo-2023"),
        checks=(
            *(
                Check(
                    f"D90 {d90} um: fitted",
                    drained,
                    "s",
                    2 * spread,
                    partial(_drained_s, published_drip(d90)),
                    "lee-chang-2026",
                )
                for d90, drained, spread in PUBLISHED_DRIPS
            ),
            Check(
                "valve brew, 1.3 × as fast as the reference",
                100.0,
                "s",
                20.0,
                lambda: _drained_s(valve_brew(), as_sauter_300(1.3)),
                origin="common practice, no source",
            ),
        ),
    ),
    Formula(
        "heat",
        "water: density, heat capacity, viscosity",
        "polynomials in the temperature",
        "0 to 100 °C at one atmosphere",
        "water_properties",
        source_keys=("iapws-97",),
        checks=tuple(
            check
            for temp, density, heat, viscosity in _WATER
            for check in (
                Check(
                    f"density, {temp} °C",
                    density,
                    "kg/m³",
                    0.05,
                    partial(water_properties.density_kg_m3, temp),
                    "iapws-97",
                ),
                Check(
                    f"heat capacity, {temp} °C",
                    heat,
                    "J/kg/K",
                    5.0,
                    partial(water_properties.heat_capacity_j_kg_k, temp),
                    "iapws-97",
                ),
                Check(
                    f"viscosity, {temp} °C",
                    viscosity,
                    "mPa s",
                    0.0002,
                    partial(_millipascal_seconds, temp),
                    "iapws-97",
                ),
            )
        ),
    ),
    Formula(
        "heat",
        "boiling point",
        "pressure of the standard atmosphere, then saturation temperature",
        "-500 to 6000 m",
        "thermal",
        ("STANDARD_PRESSURE_PA", "BELOW_BOILING_C"),
        ("us-atmosphere-1976", "iapws-97"),
        checks=tuple(
            Check(f"{height} m", boiling, "°C", 0.002, partial(thermal.boiling_point_c, height), "us-atmosphere-1976")
            for height, boiling in _BOILING
        ),
    ),
    Formula(
        "heat",
        "mixing",
        "T = (c m T + 4.2 W Tw) / (c m + 4.2 W)",
        "an upper bound: brewer and air come on top",
        "thermal",
        ("COFFEE_HEAT_J_G_K", "WATER_HEAT_J_G_K"),
        checks=tuple(
            Check(
                f"{dose} g + {water} g at {temp} °C",
                mixed,
                "°C",
                0.001,
                partial(thermal.mixing_c, dose, 20, water, temp, 4.2083),
                origin="energy balance",
            )
            for dose, water, temp, mixed in _MIXES
        ),
    ),
    Formula(
        "heat",
        "kettle set-point",
        "Tk = Ts + [1.5 D (Ts - Tcoffee) + K (Ts - Tbrewer)] / (4.2 W') + δ",
        "W' is what has been poured by the stated moment",
        "thermal",
        ("COFFEE_HEAT_J_G_K", "WATER_HEAT_J_G_K", "STREAM_LOSS_LOW_C", "KETTLE_COOLING_S", "SLURRY_LOSS_W_K"),
        ("batali-2020",),
        checks=(
            Check(
                "89 °C after 180 g, 15 g, K 35",
                93.2,
                "°C",
                0.05,
                partial(thermal.kettle_set_point_c, 89, 180, 15, 35),
                origin="energy balance",
            ),
        ),
    ),
    Formula(
        "heat",
        "ice",
        "T = [4.2 m Tc - i (334 + 2.1 |Ti|)] / [4.2 (m + i)]",
        "below 0 means ice is left over",
        "thermal",
        ("ICE_MELTING_J_G", "ICE_HEAT_J_G_K"),
        checks=(
            Check(
                "148 g at 75 °C + 110 g at -18 °C",
                5.3,
                "°C",
                0.05,
                partial(thermal.ice_balance, 148, 75, 110),
                origin="energy balance",
            ),
        ),
    ),
)
