"""The catalogue's formulas of recipe, strength, extraction and immersion, with their outside checks."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Final

from . import immersion, mass_balance, retention, scaling
from .catalogue import Check, Formula

_SCAA_RATIO: Final = 1000 / 55  # g/g: 55 g/L with water of 1.000 kg/L
_REAL_BATCHES: Final = (
    (176.1, 2829.1, 1.05, 16.86856899),
    (119.0, 2884.1, 0.96, 23.26668908),
    (207.6, 2793.7, 1.49, 20.05112235),
    (145.0, 2878.0, 1.05, 20.84068966),
    (252.7, 2782.1, 1.59, 17.50510091),
    (176.1, 2780.3, 1.33, 20.99829074),
)
"""Dose g, beverage g, strength %, printed extraction %."""
_PLATEAU: Final = ((5, 4.1227), (10, 2.1047), (12, 1.7601), (15, 1.4131), (16, 1.3259), (18, 1.1803), (20, 1.0636))
_SCAA_STRENGTHS: Final = {
    "exact": (mass_balance.percolation_strength, (1.1001, 1.2209, 1.3413)),
    "shortcut": (mass_balance.shortcut_strength, (1.1124, 1.2360, 1.3596)),
}


def _percent(value: Callable[[], float]) -> Callable[[], float]:
    return lambda: 100 * value()


def _with_error() -> mass_balance.Measured:
    return mass_balance.extraction_with_error(
        mass_balance.Measured(0.0144, 0.0003), mass_balance.Measured(208.5, 2), mass_balance.Measured(15, 0.1)
    )


FORMULAS: Final = (
    Formula(
        "recipe",
        "dose for a cup",
        "D = cup / (cup ratio - r)",
        "cup ratio above r",
        "scaling",
        ("RETENTION", "RETENTION_BETWEEN_BREWS"),
        checks=(
            Check(
                "300 g at 1:16, r 2.1",
                21.58,
                "g",
                0.005,
                partial(scaling.dose_for_cup_g, 300, 16, 2.1),
                origin="arithmetic",
            ),
        ),
    ),
    Formula(
        "recipe",
        "grams per litre",
        "D / V",
        "water by volume",
        "scaling",
        checks=(
            Check("8.25 g in 150 mL", 55.0, "g/L", 1e-9, partial(scaling.dose_g_per_litre, 8.25, 150), "scaa-cupping"),
        ),
    ),
    Formula(
        "recipe",
        "retained liquid",
        "r = (W - B) / D",
        "0.5 to 4 g/g",
        "retention",
        ("RETENTION", "RETENTION_BETWEEN_BREWS"),
        checks=(
            Check(
                "W 250, B 220, D 15",
                2.0,
                "g/g",
                1e-9,
                partial(retention.measured_retention, 15, 250, 220),
                origin="arithmetic",
            ),
        ),
    ),
    Formula(
        "strength",
        "extraction, percolation",
        "E = T B / D",
        "strength to 30 %",
        "mass_balance",
        checks=(
            Check(
                "D 15, B 220, T 1.40 %",
                20.533,
                "%",
                0.001,
                _percent(partial(mass_balance.percolation_extraction, 0.014, 220, 15)),
                origin="arithmetic",
            ),
            *(
                Check(
                    f"batch of {dose} g: B {beverage} g, T {strength} %",
                    printed,
                    "%",
                    1e-7,
                    _percent(partial(mass_balance.percolation_extraction, strength / 100, beverage, dose)),
                    "ristenpart-2023",
                )
                for dose, beverage, strength, printed in _REAL_BATCHES
            ),
            *(
                Check(
                    f"B/D 16, T {strength} %",
                    extraction,
                    "%",
                    1e-9,
                    _percent(partial(mass_balance.percolation_extraction, strength / 100, 16, 1)),
                    "frost-2020",
                )
                for extraction, strength in ((16.0, 1.00), (20.0, 1.25), (24.0, 1.50))
            ),
        ),
    ),
    Formula(
        "strength",
        "extraction, general",
        "E = [T B + c (W - B)] / [(1 - c) D]",
        "c 0: percolation; c = T: immersion",
        "mass_balance",
        checks=(
            Check(
                "D 15, W 250, B 220, T 1.40 %, c 0.80 %",
                22.312,
                "%",
                0.001,
                _percent(partial(mass_balance.general_extraction, 0.014, 220, 250, 15, 0.008)),
                origin="arithmetic",
            ),
        ),
    ),
    Formula(
        "strength",
        "extraction, immersion",
        "E = T / (1 - T) * W / D",
        "all water at the strength of the cup",
        "mass_balance",
        source_keys=("liang-2021",),
        checks=(
            Check(
                "D 15, W 250, T 1.40 %",
                23.665,
                "%",
                0.001,
                _percent(partial(mass_balance.immersion_extraction, 0.014, 250 / 15)),
                origin="arithmetic",
            ),
        ),
    ),
    Formula(
        "strength",
        "strength ahead of the brew",
        "T = E / (R - L + E); shortcut T = E / (R - r)",
        "R above L",
        "mass_balance",
        source_keys=("scaa-golden-cup-2015", "cotter-2021"),
        checks=tuple(
            Check(
                f"55 g/L, L 2, E {extraction} %, {name}",
                strength,
                "%",
                0.00006,
                _percent(partial(formula, extraction / 100, _SCAA_RATIO, 2)),
                origin="arithmetic on the Golden Cup's 55 g/L",
            )
            for name, (formula, strengths) in _SCAA_STRENGTHS.items()
            for extraction, strength in zip((18, 20, 22), strengths, strict=True)
        )
        + tuple(
            Check(
                f"55 g/L, E {extraction} %, immersion",
                strength,
                "%",
                0.00006,
                _percent(partial(mass_balance.immersion_strength, extraction / 100, _SCAA_RATIO)),
                origin="arithmetic on the Golden Cup's 55 g/L",
            )
            for extraction, strength in ((18, 0.9803), (20, 1.0880), (22, 1.1955))
        ),
    ),
    Formula(
        "strength",
        "dilution",
        "Y = m (C1 / C2 - 1)",
        "water only makes it weaker",
        "mass_balance",
        checks=(
            Check(
                "148.5 g from 2.02 % to 1.44 %",
                60.0,
                "g",
                0.5,
                partial(mass_balance.dilution_g, 148.5, 0.0202, 0.0144),
                origin="arithmetic",
            ),
        ),
    ),
    Formula(
        "strength",
        "uncertainty of an extraction",
        "(dE)^2 = (B/D dT)^2 + (T/D dB)^2 + (E/D dD)^2",
        "errors small and independent",
        "mass_balance",
        checks=(
            Check(
                "1.44 ± 0.03 %, 208.5 ± 2 g, 15 ± 0.1 g",
                0.5,
                "points",
                0.05,
                _percent(lambda: _with_error().sd),
                origin="arithmetic",
            ),
        ),
    ),
    Formula(
        "immersion",
        "plateau",
        "T = K Emax / (R + K Emax), K Emax = 0.215",
        "R 3 and up; measured brews lie up to about 12 % lower; about 20 minutes unstirred",
        "immersion",
        ("PLATEAU_EXTRACTION", "PLATEAU_LEAST_RATIO", "PLATEAU_SHORTFALL", "PLATEAU_TIME_S"),
        checks=tuple(
            Check(
                f"R {ratio}", strength, "%", 0.00006, _percent(partial(immersion.plateau_strength, ratio)), "liang-2021"
            )
            for ratio, strength in _PLATEAU
        ),
    ),
)
