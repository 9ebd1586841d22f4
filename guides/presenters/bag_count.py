"""How many bags a lot fills."""

from __future__ import annotations

from guides.calculations.validity import OutOfRange
from guides.calculations.yields import bags
from guides.models import Lot


def filled(lot: Lot) -> int:
    """Give the bags a lot fills, by its weights.

    Raises:
        OutOfRange: its weights cannot be.
    """
    return bags(float(lot.green_kg), float(lot.loss_percent) / 100, float(lot.bag_g), float(lot.qc_kg))


def bags_of(lot: Lot) -> int:
    """Give the bags a lot fills; 0 where its weights say nothing."""
    try:
        return filled(lot)
    except OutOfRange:
        return 0
