"""How many copies to propose for a lot: for its bags, in a format, on a sheet."""

from __future__ import annotations

from dataclasses import dataclass

from guides.calculations.constants import FILE_COPIES
from guides.calculations.yields import print_run

from . import choices
from .formats import Format
from .sheets import SheetPaper, Stock


@dataclass(frozen=True)
class Proposed:
    """Copies, and what they come from.

    ``bags`` is 0 where the format does not go with every bag, or the lot's weights do not say how many there are: then
    it is one full sheet. Else ``wanted`` are the bags with ``filed`` and ``spare`` copies, and ``copies`` fill the
    sheets.
    """

    bags: int
    filed: int
    spare: int
    wanted: int
    per_sheet: int
    sheets: int
    copies: int
    per_bag: bool


def proposed(bags: int, paper: Format, on: SheetPaper | Stock | None, skip: int = 0) -> Proposed | None:
    """Give the copies to propose.

    Args:
        bags: that the lot fills; 0 where that is not known.
        paper: the format.
        on: the sheet; ``None`` for paper of the format's own size.
        skip: places of the first sheet that are used up.

    Returns:
        ``None`` where the format does not go on the sheet, or no place is left on the first one.
    """
    layout = choices.layout_on(on, paper) if on else None
    if on and (layout is None or not 0 <= skip < layout.per_sheet):
        return None
    per_sheet, gone = (layout.per_sheet, skip) if layout else (1, 0)
    if not (bags and paper.per_bag):
        return Proposed(0, 0, 0, 1, per_sheet, 1, per_sheet - gone, paper.per_bag)
    run, filed = print_run(bags, per_sheet, gone), int(FILE_COPIES.value)
    return Proposed(
        bags, filed, run.inserts - bags - filed, run.inserts, per_sheet, run.sheets, run.printed, per_bag=True
    )
