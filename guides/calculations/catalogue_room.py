"""The catalogue's formulas of freshness, water, counts, tasting and units, with their outside checks."""

from __future__ import annotations

from functools import partial
from typing import Final

from . import freshness, loss_history, tasting, units, water, yields
from .catalogue import Check, Formula
from .water import Salt, Unit

_UNITS: Final = (
    ("1 mmol/L", Unit.MMOL_L, 100.09),
    ("1 °dH", Unit.GERMAN, 17.848),
    ("1 °fH", Unit.FRENCH, 10.0),
    ("1 °Clark", Unit.CLARK, 14.254),
    ("1 gr/US gal", Unit.GRAIN, 17.118),
)
_TRIANGLE: Final = ((6, 5), (9, 6), (12, 8))
"""Tasters and fewest right answers at 5 %, as ISO 4120 tabulates them."""


def _fewest(tasters: int) -> float:
    return float(tasting.fewest_right(tasters) or 0)


FORMULAS: Final = (
    Formula(
        "freshness",
        "gas in a bag",
        "V = n R T / p",
        "an ideal gas, 0 to 20 mg/g",
        "freshness",
        ("GAS_CONSTANT", "CO2_MOLAR_G", "STANDARD_PRESSURE_PA", "GAS_STEP_DAYS"),
        checks=(
            Check(
                "10 mg/g at 20 °C", 5.466, "mL/g", 0.0005, partial(freshness.co2_ml_per_g, 10), origin="ideal gas law"
            ),
            Check(
                "250 g bag, 10 mg/g",
                1.37,
                "L",
                0.005,
                lambda: 0.25 * freshness.co2_ml_per_g(10),
                origin="ideal gas law",
            ),
        ),
    ),
    Formula(
        "water",
        "hardness units",
        "mg/L CaCO3 per unit",
        "0 to 5000 mg/L",
        "water",
        ("CACO3_MOLAR_G", "DEGREE_GERMAN", "DEGREE_FRENCH", "DEGREE_CLARK", "GRAIN_PER_US_GALLON"),
        checks=tuple(
            Check(name, mg_l, "mg/L CaCO3", 0.0005, partial(water.to_mg_l, 1, unit), origin="definition")
            for name, unit, mg_l in _UNITS
        ),
    ),
    Formula(
        "water",
        "salts",
        "mg/L CaCO3 per mg/L of salt, by molar masses",
        "0 to 5000 mg/L",
        "water",
        ("MGSO4_HARDNESS", "CACL2_HARDNESS", "NAHCO3_ALKALINITY", "KHCO3_ALKALINITY", "NAHCO3_SODIUM"),
        ("scaa-water",),
        (
            Check(
                "sodium bicarbonate for 40 mg/L",
                67.15,
                "mg/L",
                0.005,
                partial(water.salt_for_mg_l, Salt.SODIUM_BICARBONATE, 40),
                "iupac-2021",
            ),
            Check(
                "sodium in it",
                18.4,
                "mg/L",
                0.05,
                lambda: water.mixed_from_salts({Salt.SODIUM_BICARBONATE: 67.15}).sodium_mg_l,
                "iupac-2021",
            ),
        ),
    ),
    Formula(
        "water",
        "blend",
        "tap share = (wanted - soft) / (tap - soft)",
        "wanted between the two waters",
        "water",
        checks=(
            Check("190 to 50 with soft 2", 0.255, "1", 0.0005, partial(water.tap_share, 190, 2, 50), origin="mixing"),
        ),
    ),
    Formula(
        "counts",
        "bags",
        "floor((green (1 - loss) - QC) / fill)",
        "never up",
        "yields",
        ("ROAST_LOSS_LIGHT", "ROAST_LOSS_MEDIUM", "ROAST_LOSS_DARK"),
        checks=(
            Check(
                "12 kg, 13.6 %, 0.3 kg, 250 g",
                40,
                "bags",
                0,
                partial(yields.bags, 12, 0.136, 250, 0.3),
                origin="arithmetic",
            ),
        ),
    ),
    Formula(
        "counts",
        "inserts and sheets",
        "bags + 2 + max(3, 3 %), up to full sheets",
        "1 to 600 inserts a sheet",
        "yields",
        ("FILE_COPIES", "SPARE_LEAST", "SPARE_SHARE"),
        checks=(Check("40 bags", 48, "inserts", 0, lambda: yields.print_run(40).printed, origin="arithmetic"),),
    ),
    Formula(
        "counts",
        "loss beside its history",
        "loss - median of the last 10, a look from 0.7 points",
        "losses 0 to 0.5",
        "loss_history",
        ("LOSS_HOLDS",),
        checks=(
            Check(
                "12.6 % after 11.9, 12.1 and 11.8 %",
                0.007,
                "1",
                1e-9,
                lambda: loss_history.compare(0.126, (0.119, 0.121, 0.118)).apart,
                origin="arithmetic",
            ),
        ),
    ),
    Formula(
        "tasting",
        "which is liked best",
        "P(largest of n equal counts >= k), exact",
        "1 to 1000 choices, 2 to 4 cups",
        "tasting",
        ("SIGNIFICANCE",),
        checks=(
            Check(
                "9 of 10, two cups",
                0.0215,
                "1",
                0.00005,
                partial(tasting.chance_of_favourite, 9, 10, 2),
                origin="two-sided binomial",
            ),
        ),
    ),
    Formula(
        "tasting",
        "triangle test",
        "fewest k with P(X >= k) < 0.05, X binomial with 1/3",
        "1 to 1000 tasters",
        "tasting",
        ("TRIANGLE_CHANCE", "SIGNIFICANCE"),
        checks=tuple(
            Check(f"{tasters} tasters", fewest, "right", 0, partial(_fewest, tasters), "iso-4120")
            for tasters, fewest in _TRIANGLE
        ),
    ),
    Formula(
        "units",
        "ounces, feet and degrees Fahrenheit",
        "exact by definition",
        "0 and up",
        "units",
        ("GRAMS_PER_OUNCE", "ML_PER_US_FLUID_OUNCE", "ML_PER_IMP_FLUID_OUNCE", "METRES_PER_FOOT", "FAHRENHEIT_ZERO"),
        checks=(
            Check("1 oz", 28.349523125, "g", 1e-12, partial(units.grams_from_ounces, 1), "nist-sp811"),
            Check("1 US fl oz", 29.5735295625, "mL", 1e-12, partial(units.ml_from_us_fluid_ounces, 1), "nist-sp811"),
            Check("1 imp fl oz", 28.4130625, "mL", 1e-12, partial(units.ml_from_imp_fluid_ounces, 1), "nist-sp811"),
            Check("5280 ft", 1609.344, "m", 1e-9, partial(units.metres_from_feet, 5280), "nist-sp811"),
            Check("212 °F", 100.0, "°C", 1e-12, partial(units.celsius_from_fahrenheit, 212), "nist-sp811"),
        ),
    ),
)
