"""The slip on top of a packing run: which lot, in letters that are read from across the room, and what lies beneath."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from django.template.loader import render_to_string
from django.utils.translation import gettext, override

from guides.choices import Flip
from guides.codes import qr
from guides.models import GuideVersion, Lot
from guides.presenters import addresses
from guides.queries import lots

from . import compose
from .formats import COVER, Format
from .painting import painted, symbol_of
from .sheets import SheetPaper


@dataclass(frozen=True)
class Beneath:
    """What a slip tells of its run. ``mark`` is empty or such as R1; ``skip`` places of the first sheet are used up.

    ``place`` is which of the ``of`` lots in its file it is.
    """

    lot: Lot
    version: GuideVersion
    language: str
    paper: Format
    copies: int
    sheets: int
    per_sheet: int
    flip: Flip
    skip: int
    mark: str
    place: int = 1
    of: int = 1


def covers_pdf(slips: Sequence[Beneath], sheet: SheetPaper, language: str) -> bytes:
    """Give slips: a page of the run's own paper for each.

    Args:
        slips: what lies under each.
        sheet: the paper.
        language: of their words.

    Raises:
        InsertRefused: they cannot be made.
    """
    paper = replace(COVER, width_mm=sheet.width_mm, height_mm=sheet.height_mm)
    with override(language):
        return painted([_slip(beneath, paper, language) for beneath in slips], compose.identity(), paper)


def _slip(beneath: Beneath, paper: Format, language: str) -> tuple[str, qr.Symbol]:
    code = lots.code_of(beneath.lot)
    symbol = symbol_of(addresses.of_lot(code))
    html = render_to_string(
        paper.template,
        {
            "language": language,
            "beneath": beneath,
            "lot_length": len(beneath.lot.name),
            "code_letters": f"{code[:4]}\N{NO-BREAK SPACE}{code[4:]}",
            "symbol": compose.drawn(symbol.svg(gettext("Code of this lot"))),
            "sample": compose.is_sample(),
            **compose.ruler(paper.ruler_mm),
        },
    )
    return html, symbol
