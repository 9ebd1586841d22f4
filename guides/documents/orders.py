"""What a packing run prints: its lot, guide, format, sheet and copies."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.calculations.yields import sheets_for
from guides.choices import Flip
from guides.models import GuideVersion, Lot, PackingRun

from . import choices
from .errors import InsertRefused
from .formats import Format
from .sheets import Layout, SheetPaper, Stock, own_size


@dataclass(frozen=True)
class Order:
    """What a packing run prints.

    ``sheet`` is plain paper that is cut afterwards, or stock that is cut already; ``None`` for paper that has the
    format's own size.
    """

    lot: Lot
    version: GuideVersion
    language: str
    paper: Format
    copies: int
    sheet: SheetPaper | Stock | None = None
    flip: Flip = Flip.LONG
    skip: int = 0
    mark: str = ""

    @property
    def layout(self) -> Layout:
        """Where copies lie.

        Raises:
            InsertRefused: the format does not go on the sheet.
        """
        if self.sheet is None:
            return own_size(self.paper)
        found = choices.layout_on(self.sheet, self.paper)
        if found is None:
            text = _("{format}: {reason}")
            raise InsertRefused([format_lazy(text, format=self.paper.name, reason=choices.why_not_on(self.sheet))])
        return found

    @property
    def sheets(self) -> int:
        """How many sheets of paper the copies take, without the cover slip."""
        return sheets_for(self.copies, self.layout.per_sheet, self.skip)


def order_of(run: PackingRun) -> Order:
    """Give what a run orders.

    Raises:
        InsertRefused: a format or sheet that is not known any more.
    """
    sheet = choices.sheet(run.sheet)
    paper = choices.format_of(run.paper)
    if paper is None or (run.sheet and sheet is None):
        text = _("Format: “{key}” is not known. Order the run again in another format.")
        raise InsertRefused([format_lazy(text, key=f"{run.paper} {run.sheet}".strip())])
    return Order(
        lot=run.lot,
        version=run.version,
        language=run.language,
        paper=paper,
        copies=run.copies,
        sheet=sheet,
        flip=Flip(run.flip),
        skip=run.skip,
        mark=run.mark,
    )
