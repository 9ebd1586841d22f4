"""Grind as a size: from micrometres to a grinder's setting, to words and to sieves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import pairwise
from typing import Final

from .rounding import round_half_up
from .validity import OutOfRange, check_range


class Metric(StrEnum):
    """How the size of a calibration point was measured; sizes of different metrics do not compare."""

    SIEVE = "sieve"
    LASER = "laser"
    BURR_GAP = "burr_gap"


class Word(StrEnum):
    """Our own bands over the median size, printed beside the number, never instead of it."""

    VERY_FINE = "very_fine"
    FINE = "fine"
    MEDIUM_FINE = "medium_fine"
    MEDIUM = "medium"
    MEDIUM_COARSE = "medium_coarse"
    COARSE = "coarse"
    VERY_COARSE = "very_coarse"


BANDS: Final[tuple[tuple[float, Word], ...]] = (
    (300, Word.VERY_FINE),
    (500, Word.FINE),
    (650, Word.MEDIUM_FINE),
    (800, Word.MEDIUM),
    (950, Word.MEDIUM_COARSE),
    (1200, Word.COARSE),
)
"""Each word ends below its number of micrometres; beyond the last lies very coarse. Own default."""

SIEVES_UM: Final[dict[int, int]] = {20: 850, 25: 710, 30: 600, 35: 500, 40: 425, 50: 300, 60: 250}
"""Sieve number to opening in um. Source: astm-e11, iso-3310-1."""


@dataclass(frozen=True)
class GrinderTable:
    """A grinder's calibration: rising settings, the median size at each in um, and its smallest click."""

    settings: tuple[float, ...]
    sizes_um: tuple[float, ...]
    click: float = 1.0
    metric: Metric = Metric.LASER


@dataclass(frozen=True)
class Setting:
    """A setting on a click, the size it lands on, and the size that was wanted, in um."""

    setting: float
    landed_um: float
    wanted_um: float


def check_table(table: GrinderTable) -> GrinderTable:
    """Return a calibration table if it can be used.

    Args:
        table: the grinder's calibration.

    Returns:
        The same table.

    Raises:
        OutOfRange: fewer than 3 points, settings that do not rise, sizes that do not all rise or all fall, or no click.

    Valid range: 3 points and up, sizes 50 to 5000 um, click above 0.
    Source: own default.

    >>> check_table(GrinderTable((3, 5, 7, 9), (450, 690, 930, 1190))).click
    1.0
    """
    points = min(len(table.settings), len(table.sizes_um))
    if len(table.settings) != len(table.sizes_um):
        raise OutOfRange("settings", len(table.settings), low=points, high=points, reason="each setting needs its size")
    check_range("points", points, low=3, reason="a grinder needs three calibration points")
    check_range("click", table.click, above=0, reason="the smallest change of a setting")
    for size in table.sizes_um:
        check_range("sizes_um", size, low=50, high=5000, reason="ground coffee")
    for lower, higher in pairwise(table.settings):
        check_range("settings", higher, above=lower, reason="settings rise from point to point")
    rising = table.sizes_um[-1] > table.sizes_um[0]
    for before, after in pairwise(table.sizes_um if rising else tuple(reversed(table.sizes_um))):
        check_range("sizes_um", after, above=before, reason="sizes rise, or fall, all along")
    return table


def size_um(table: GrinderTable, setting: float) -> float:
    """Give the median size a grinder gives at a setting, on straight lines between its points.

    Args:
        table: the grinder's calibration.
        setting: on its dial.

    Returns:
        Median size in um, of the table's metric.

    Raises:
        OutOfRange: a useless table, or a setting outside its points.

    Valid range: between the first and last point.
    Source: own default (straight lines).

    >>> size_um(GrinderTable((3, 5, 7, 9), (450, 690, 930, 1190)), 6)
    810.0
    """
    check_table(table)
    first, last = table.settings[0], table.settings[-1]
    check_range("setting", setting, low=first, high=last, reason="outside the calibration points there is no number")
    return _line(setting, table.settings, table.sizes_um)


def setting_for(table: GrinderTable, wanted_um: float) -> Setting:
    """Give the setting, on a click, that comes nearest to a wanted size, and the size it really lands on.

    Args:
        table: the grinder's calibration.
        wanted_um: median size wanted in um, of the table's metric.

    Returns:
        Setting and sizes: a start, to be corrected by the drained time.

    Raises:
        OutOfRange: a useless table, or a size outside its points.

    Valid range: between the smallest and largest size of the table.
    Source: own default (straight lines).

    >>> setting_for(GrinderTable((14, 20, 26, 32), (480, 690, 900, 1120)), 740)
    Setting(setting=21.0, landed_um=725.0, wanted_um=740)
    """
    check_table(table)
    low, high = min(table.sizes_um), max(table.sizes_um)
    check_range("wanted_um", wanted_um, low=low, high=high, reason="outside the calibration points there is no number")
    rising = table.sizes_um[-1] > table.sizes_um[0]
    sizes = table.sizes_um if rising else tuple(reversed(table.sizes_um))
    settings = table.settings if rising else tuple(reversed(table.settings))
    exact = _line(wanted_um, sizes, settings)
    clicked = round_half_up(exact, table.click)
    if clicked < table.settings[0]:  # the nearest click may lie just outside the last point
        clicked += table.click
    elif clicked > table.settings[-1]:
        clicked -= table.click
    clicked = min(max(clicked, table.settings[0]), table.settings[-1])
    return Setting(clicked, _line(clicked, table.settings, table.sizes_um), wanted_um)


def _line(value: float, known: Sequence[float], wanted: Sequence[float]) -> float:
    for index in range(len(known) - 1):
        if value <= known[index + 1]:
            break
    share = (value - known[index]) / (known[index + 1] - known[index])
    return wanted[index] + share * (wanted[index + 1] - wanted[index])


def shifted(table: GrinderTable, offset_um: float) -> GrinderTable:
    """Correct a calibration by what a reader's own brews said of their grinder.

    Args:
        table: the grinder's calibration.
        offset_um: from ``dialing.grinder_offset_um``: positive where the grinder gives coarser grounds than its table.

    Returns:
        The table with every size moved.

    Raises:
        OutOfRange: an offset beyond 500 um, or sizes that no ground coffee has.

    Valid range: -500 to 500 um.
    Source: definition.

    >>> shifted(GrinderTable((3, 5, 7), (450, 690, 930)), 30).sizes_um
    (480, 720, 960)
    """
    check_range("offset_um", offset_um, low=-500, high=500, reason="further off, it is another grinder")
    return check_table(replace(table, sizes_um=tuple(size + offset_um for size in table.sizes_um)))


def word_for(grind_um: float) -> Word:
    """Give our own word for a median size.

    Args:
        grind_um: median size in um.

    Returns:
        The band it falls in.

    Raises:
        OutOfRange: outside 50 to 5000 um.

    Valid range: 50 to 5000 um.
    Source: own default.

    >>> word_for(740)
    <Word.MEDIUM: 'medium'>
    """
    check_range("grind_um", grind_um, low=50, high=5000, reason="ground coffee")
    return next((word for below, word in BANDS if grind_um < below), Word.VERY_COARSE)


def nearest_sieve(grind_um: float) -> int:
    """Give the number of the sieve whose opening is nearest to a size.

    Args:
        grind_um: size in um.

    Returns:
        Sieve number of ASTM E11.

    Raises:
        OutOfRange: further than a quarter outside the sieves listed.

    Valid range: 190 to 1070 um.
    Source: astm-e11, iso-3310-1.

    >>> nearest_sieve(700)
    25
    """
    check_range("grind_um", grind_um, low=190, high=1070, reason="no listed sieve comes near")
    return min(SIEVES_UM, key=lambda number: abs(SIEVES_UM[number] - grind_um))
