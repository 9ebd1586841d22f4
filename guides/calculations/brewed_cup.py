"""What a measured cup says: extraction of the dose with its error, by the way the brewer works and what was read."""

from __future__ import annotations

import math
from dataclasses import dataclass

from .constants import DOSE_READ_SD_G, SCALE_READ_SD_G, STRENGTH_READ_SD
from .mass_balance import (
    Measured,
    diluted_strength,
    extraction_with_error,
    general_extraction,
    immersion_extraction,
)
from .validity import OutOfRange, check_range


@dataclass(frozen=True)
class Cup:
    """One measured brew: masses in g, strengths as fractions.

    ``beverage_g`` is what ran out, before any water or ice joined it, ``added_g`` what joined. ``strength`` is of the
    beverage where ``before_added``, else of the finished cup. ``last_drops`` is the strength of what the grounds keep;
    ``None`` where nobody read it. ``immersed`` where coffee and all water stayed together until they were parted.
    """

    dose_g: float
    water_g: float
    beverage_g: float
    added_g: float
    strength: float
    before_added: bool
    last_drops: float | None = None
    immersed: bool = False


def finished_strength(cup: Cup) -> float:
    """Give the strength of the finished cup, with all that joined it.

    Args:
        cup: the measured brew.

    Returns:
        Strength as a fraction.

    Raises:
        OutOfRange: no beverage, or a strength no coffee has.

    Valid range: as ``mass_balance.diluted_strength``.
    Source: mass balance.

    >>> round(finished_strength(Cup(15, 180, 148.5, 60, 0.0202, True)), 5)
    0.01439
    """
    return diluted_strength(cup.beverage_g, cup.strength, cup.added_g) if cup.before_added else cup.strength


def measured_extraction(cup: Cup) -> Measured:
    """Give the extraction of a measured brew with its error.

    With the last drops read, what stays in the grounds counts at that strength; an immersion counts all its water at
    the strength of the cup; else what stays counts as plain water, which is the trade's usual figure.

    Args:
        cup: the measured brew.

    Returns:
        Extraction as a fraction of the dose, with one standard deviation from reading strength, scale and dose.

    Raises:
        OutOfRange: masses or strengths that no brew has.

    Valid range: as the balances of ``mass_balance``.
    Source: mass balance; first-order propagation of independent errors, whose sizes are own defaults.

    >>> found = measured_extraction(Cup(15, 250, 208.5, 0, 0.0144, True))
    >>> (round(found.value, 3), round(found.sd, 3))
    (0.2, 0.005)
    """
    check_range("beverage_g", cup.beverage_g, above=0, high=cup.water_g + cup.dose_g, reason="it came out of the water")
    strength = cup.strength if cup.before_added else cup.strength * (cup.beverage_g + cup.added_g) / cup.beverage_g
    strength_sd = STRENGTH_READ_SD.value * strength / cup.strength if cup.strength > 0 else STRENGTH_READ_SD.value
    if cup.last_drops is None and not cup.immersed:
        return extraction_with_error(
            Measured(strength, strength_sd),
            Measured(cup.beverage_g, SCALE_READ_SD_G.value),
            Measured(cup.dose_g, DOSE_READ_SD_G.value),
        )
    kept = strength if cup.last_drops is None else cup.last_drops
    if cup.immersed and cup.last_drops is None:
        value = immersion_extraction(strength, cup.water_g / cup.dose_g)
        by_strength = cup.water_g / cup.dose_g / (1 - strength) ** 2 * strength_sd
        by_beverage = 0.0
        by_kept = 0.0
    else:
        value = general_extraction(strength, cup.beverage_g, cup.water_g, cup.dose_g, kept)
        by_strength = cup.beverage_g / ((1 - kept) * cup.dose_g) * strength_sd
        by_beverage = (strength - kept) / ((1 - kept) * cup.dose_g) * SCALE_READ_SD_G.value
        by_kept = ((cup.water_g - cup.beverage_g) / cup.dose_g + value) / (1 - kept) * STRENGTH_READ_SD.value
    by_dose = value / cup.dose_g * DOSE_READ_SD_G.value
    return Measured(value, math.hypot(by_strength, by_beverage, by_kept, by_dose))


def believable(cup: Cup) -> Measured | None:
    """Give the extraction where the readings can be those of one brew; ``None`` where one of them must be a slip.

    Args:
        cup: the measured brew.

    Returns:
        As ``measured_extraction``.

    Valid range: any readings.
    Source: as ``measured_extraction``.

    >>> believable(Cup(15, 250, 400, 0, 0.0144, True)) is None
    True
    """
    try:
        return measured_extraction(cup)
    except OutOfRange:
        return None
