"""Where an immersion ends up if it is left long enough: a ceiling, not a promise for a short steep."""

from __future__ import annotations

from .constants import PLATEAU_EXTRACTION, PLATEAU_LEAST_RATIO
from .validity import check_range


def plateau_strength(ratio: float) -> float:
    """Give the strength an immersion nears after about 20 minutes unstirred.

    Args:
        ratio: water per gram of coffee, W/D.

    Returns:
        Strength as a fraction; measured brews lie up to about 12 % lower.

    Raises:
        OutOfRange: a ratio below 3 or not finite.

    Valid range: ratio 3 and up.
    Source: liang-2021.

    >>> round(plateau_strength(15), 6)
    0.014131
    """
    check_range("ratio", ratio, low=PLATEAU_LEAST_RATIO.value, reason="the equilibrium was measured from 3 g/g up")
    return PLATEAU_EXTRACTION.value / (ratio + PLATEAU_EXTRACTION.value)


def plateau_extraction() -> float:
    """Give the extraction an immersion nears, whatever its ratio.

    Returns:
        Extraction as a fraction of the dose.

    Source: liang-2021.

    >>> plateau_extraction()
    0.215
    """
    return PLATEAU_EXTRACTION.value
