"""What a file of rows says, before anybody asks what it means."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from django.utils.translation import gettext as _

Cell = str | int | float | Decimal | bool | datetime.date | datetime.datetime | datetime.time | None

MOST_BYTES: Final = 20_000_000
"""Of a file."""
MOST_ROWS: Final = 50_000
MOST_COLUMNS: Final = 60
LONGEST_CELL: Final = 5_000
"""In characters; the longest text of a row has 600."""


@dataclass(frozen=True)
class Trouble:
    """What is wrong with a file, where, and what to do. ``row`` counts as a spreadsheet does, the headings included."""

    message: str
    row: int | None = None
    column: str = ""
    value: str = ""

    def __str__(self) -> str:
        place = [
            _("row %(number)s") % {"number": self.row} if self.row else "",
            _("column %(name)s") % {"name": self.column} if self.column else "",
            f"“{shortened(self.value)}”" if self.value else "",
        ]
        told = ", ".join(part for part in place if part)
        return f"{told}: {self.message}" if told else self.message


class FileRefused(Exception):
    """The file cannot be read as rows; nothing was looked at further."""

    def __init__(self, trouble: Trouble) -> None:
        self.trouble = trouble
        super().__init__(str(trouble))


@dataclass(frozen=True)
class Row:
    number: int
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class Table:
    """Headings and rows. ``read_as`` says how the bytes were understood, for whoever wonders at an odd letter."""

    headings: tuple[str, ...]
    rows: tuple[Row, ...]
    read_as: str


def shortened(text: str, longest: int = 60) -> str:
    return text if len(text) <= longest else f"{text[: longest - 1]}…"


def column_name(headings: tuple[str, ...], index: int) -> str:
    """Name a column by its heading, or by its place from 1."""
    if index < len(headings) and headings[index]:
        return headings[index]
    return _("number %(place)s") % {"place": index + 1}


def of_rows(rows: list[Row], read_as: str) -> Table:
    """Take the first row as headings, pass over empty rows, and refuse rows that are longer than the headings.

    Raises:
        FileRefused: No headings, too many rows, or a cell without a heading.
    """
    filled = [row for row in rows if any(cell not in (None, "") for cell in row.cells)]
    if not filled:
        raise FileRefused(
            Trouble(_("The file is empty. The first row holds the headings, each further row one entry."), 1)
        )
    if len(filled) - 1 > MOST_ROWS:
        message = _("More than %(most)s rows. Split the file.") % {"most": MOST_ROWS}
        raise FileRefused(Trouble(message, filled[MOST_ROWS + 1].number))
    first, *rest = filled
    headings = [str(cell or "").strip() for cell in first.cells]
    while headings and not headings[-1]:
        headings.pop()
    named = tuple(headings)
    for row in rest:
        _refuse_misfit(row, named)
    return Table(named, tuple(rest), read_as)


def _refuse_misfit(row: Row, headings: tuple[str, ...]) -> None:
    for index, cell in enumerate(row.cells):
        if cell in (None, ""):
            continue
        if index >= len(headings) or not headings[index]:
            message = _("This cell has no heading above it. Give its column one, or take the cell out.")
            raise FileRefused(Trouble(message, row.number, column_name(headings, index), str(cell)))
        if isinstance(cell, str) and len(cell) > LONGEST_CELL:
            message = _("Longer than %(most)s characters. Shorten it.") % {"most": LONGEST_CELL}
            raise FileRefused(Trouble(message, row.number, column_name(headings, index), cell))
