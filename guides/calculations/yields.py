"""Counts: what a roast loses, how many bags and brews it gives, how many inserts and sheets to print."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from .constants import (
    FILE_COPIES,
    ROAST_LOSS_DARK,
    ROAST_LOSS_LIGHT,
    ROAST_LOSS_MEDIUM,
    SPARE_LEAST,
    SPARE_SHARE,
    Constant,
)
from .freshness import RoastLevel
from .validity import OutOfRange, check_range

PUBLISHED_LOSS: Final[dict[RoastLevel, Constant]] = {
    RoastLevel.LIGHT: ROAST_LOSS_LIGHT,
    RoastLevel.MEDIUM: ROAST_LOSS_MEDIUM,
    RoastLevel.DARK: ROAST_LOSS_DARK,
}
"""Losses measured for one coffee at three roasts (Frost 2020, table 2): a guide post, not a limit."""

_EXACT: Final = 9  # decimals: 0.3 kg and 250 g have no exact binary form, a floor must not fall over that


@dataclass(frozen=True)
class PrintRun:
    """How many inserts and sheets a packing run prints."""

    inserts: int
    sheets: int
    printed: int


def roast_loss(green_kg: float, roasted_kg: float) -> float:
    """Give the share of mass a roast lost.

    Args:
        green_kg: green coffee in kg.
        roasted_kg: roasted coffee in kg.

    Returns:
        Loss as a fraction of the green mass.

    Raises:
        OutOfRange: no green coffee, or more roasted than green.

    Valid range: green above 0, roasted 0 to green.
    Source: definition.

    >>> round(roast_loss(12, 10.368), 3)
    0.136
    """
    check_range("green_kg", green_kg, above=0, reason="a roast needs coffee")
    check_range("roasted_kg", roasted_kg, low=0, high=green_kg, reason="roasting only loses mass")
    return 1 - roasted_kg / green_kg


def roasted_kg(green_kg: float, loss: float) -> float:
    """Give what is left after roasting.

    Args:
        green_kg: green coffee in kg.
        loss: as a fraction of the green mass.

    Returns:
        Roasted coffee in kg.

    Raises:
        OutOfRange: negative green coffee, or a loss outside 0 to 0.5.

    Valid range: green 0 and up, loss 0 to 0.5 (the trade sees 0.11 to 0.17).
    Source: definition.

    >>> round(roasted_kg(12, 0.136), 3)
    10.368
    """
    check_range("green_kg", green_kg, low=0, reason="a mass cannot be negative")
    check_range("loss", loss, low=0, high=0.5, reason="coffee, not charcoal")
    return green_kg * (1 - loss)


def bags(green_kg: float, loss: float, fill_g: float, quality_kg: float = 0.0) -> int:
    """Give the number of full bags a roast fills; never up.

    Args:
        green_kg: green coffee in kg.
        loss: as a fraction of the green mass.
        fill_g: coffee per bag in g.
        quality_kg: roasted coffee kept for quality control in kg.

    Returns:
        Bags; 0 where nothing is left.

    Raises:
        OutOfRange: a negative mass, a loss outside 0 to 0.5, or no fill.

    Valid range: masses 0 and up, fill above 0, loss 0 to 0.5.
    Source: definition.

    >>> bags(12, 0.136, 250, 0.3)
    40
    """
    check_range("fill_g", fill_g, above=0, reason="a bag holds coffee")
    check_range("quality_kg", quality_kg, low=0, reason="a mass cannot be negative")
    left_g = (roasted_kg(green_kg, loss) - quality_kg) * 1000
    return max(math.floor(round(left_g / fill_g, _EXACT)), 0)


def brews_per_bag(bag_g: float, dose_g: float, purge_g: float = 0.0) -> int:
    """Give the number of whole brews in a bag; never up.

    Args:
        bag_g: coffee in the bag in g.
        dose_g: coffee per brew in g.
        purge_g: coffee lost to the grinder once per bag in g.

    Returns:
        Brews; 0 where the bag holds less than one.

    Raises:
        OutOfRange: a negative mass or no dose.

    Valid range: dose above 0, the rest 0 and up.
    Source: definition.

    >>> brews_per_bag(250, 16, 5)
    15
    """
    check_range("bag_g", bag_g, low=0, reason="a mass cannot be negative")
    check_range("purge_g", purge_g, low=0, reason="a mass cannot be negative")
    check_range("dose_g", dose_g, above=0, reason="a brew needs coffee")
    return max(math.floor(round((bag_g - purge_g) / dose_g, _EXACT)), 0)


def print_run(bag_count: int, per_sheet: int = 4, used_up: int = 0) -> PrintRun:
    """Give the inserts to print: one per bag, two file copies, spares for spoiled ones, up to full sheets.

    Args:
        bag_count: bags to pack.
        per_sheet: inserts on a sheet.
        used_up: places of the first sheet that are gone already.

    Returns:
        Inserts wanted, sheets, and inserts on those sheets.

    Raises:
        OutOfRange: no whole number of bags of 0 or more, no insert on a sheet, or no place left on the first one.

    Valid range: bags 0 and up, 1 to 600 inserts a sheet, of which at least one place is left.
    Source: own default (copies and spares).

    >>> print_run(40)
    PrintRun(inserts=45, sheets=12, printed=48)
    >>> print_run(40, 36, used_up=10)
    PrintRun(inserts=45, sheets=2, printed=62)
    """
    check_range("bag_count", bag_count, low=0, reason="a count cannot be negative")
    _check_sheet(per_sheet, used_up)
    if bag_count != int(bag_count):
        raise OutOfRange("bag_count", bag_count, low=0, high=None, reason="bags are counted whole")
    if bag_count == 0:
        return PrintRun(0, 0, 0)
    spare = max(int(SPARE_LEAST.value), math.ceil(round(bag_count * SPARE_SHARE.value, _EXACT)))
    inserts = bag_count + int(FILE_COPIES.value) + spare
    sheets = sheets_for(inserts, per_sheet, used_up)
    return PrintRun(inserts, sheets, sheets * per_sheet - used_up)


def sheets_for(copies: int, per_sheet: int, used_up: int = 0) -> int:
    """Give the sheets that copies take.

    Args:
        copies: inserts to print.
        per_sheet: inserts on a sheet.
        used_up: places of the first sheet that are gone already.

    Returns:
        Whole sheets.

    Raises:
        OutOfRange: fewer than no copies, no insert on a sheet, or no place left on the first one.

    Valid range: copies 0 and up, 1 to 600 inserts a sheet, of which at least one place is left.
    Source: definition.

    >>> sheets_for(48, 4), sheets_for(49, 4), sheets_for(62, 36, used_up=10)
    (12, 13, 2)
    """
    check_range("copies", copies, low=0, reason="a count cannot be negative")
    _check_sheet(per_sheet, used_up)
    return -(-(copies + used_up) // per_sheet) if copies else 0


def _check_sheet(per_sheet: int, used_up: int) -> None:
    check_range("per_sheet", per_sheet, low=1, high=600, reason="inserts on one sheet")
    check_range("used_up", used_up, low=0, high=per_sheet - 1, reason="a place is left on the first sheet")
