"""Workbooks (ISO/IEC 29500, .xlsx), through openpyxl: the first sheet that is seen, its values, nothing that runs.

A workbook is a ZIP file of XML, and both can be small outside and huge inside. So it is measured while it is unpacked,
before the library sees it.
"""

from __future__ import annotations

import io
import re
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, Final
from xml.etree.ElementTree import ParseError

from django.utils.translation import gettext as _
from openpyxl import load_workbook
from openpyxl.utils import get_column_letter
from openpyxl.utils.exceptions import InvalidFileException

from .table import MOST_COLUMNS, MOST_ROWS, Cell, FileRefused, Row, Table, Trouble, of_rows

MAGIC: Final = b"PK\x03\x04"
MOST_UNPACKED: Final = 40_000_000
MOST_MEMBERS: Final = 1_000
_CHUNK: Final = 1 << 20
_FORMULA: Final = re.compile(rb"<(?:\w+:)?f[\s/>]")
_LITERAL: Final = re.compile(r'"[^"]*"|\\\\.')
"""What a number format only shows: words in quotes, and a sign behind a backslash."""
_PERCENT_PLACES: Final = 10


def read(data: bytes) -> Table:
    """Read the first sheet of a workbook.

    Raises:
        FileRefused: Damaged, protected, too large once unpacked, a cell that holds an error, or a formula without its
            value.
    """
    has_formulas = _looked_through(data)
    try:
        with _first_sheet(data, data_only=True) as sheet:
            rows = _rows(sheet)
        if has_formulas:
            with _first_sheet(data, data_only=False) as written:
                _refuse_without_value(written, rows)
        return of_rows(rows, f"XLSX, {sheet.title}")
    except FileRefused:
        raise
    except (InvalidFileException, ParseError, zipfile.BadZipFile, zlib.error, KeyError, IndexError) as error:
        raise FileRefused(_damaged()) from error
    except (ValueError, TypeError, AttributeError, OSError, EOFError, SyntaxError, NotImplementedError) as error:
        # The library meets the unexpected with whatever comes up; a person is told one thing.
        raise FileRefused(_damaged()) from error


@contextmanager
def _first_sheet(data: bytes, *, data_only: bool) -> Iterator[Any]:
    """Open the first sheet that is not hidden: its values, or what was written to get them."""
    book = load_workbook(io.BytesIO(data), read_only=True, data_only=data_only, keep_links=False)
    try:
        sheet = next((each for each in book.worksheets if each.sheet_state == "visible"), book.worksheets[0])
        sheet.reset_dimensions()  # what a file claims of its own size is not believed
        yield sheet
    finally:
        book.close()


def _damaged() -> Trouble:
    message = _("The workbook is damaged or of another kind. Open it in a spreadsheet and save it as .xlsx or CSV.")
    return Trouble(message, 1, get_column_letter(1))


def _rows(sheet: Any) -> list[Row]:
    found: list[Row] = []
    for number, cells in enumerate(sheet.iter_rows(max_col=MOST_COLUMNS + 1), 1):
        if number > MOST_ROWS + 1:
            if any(cell.value not in (None, "") for cell in cells):
                raise FileRefused(Trouble(_("More than %(most)s rows. Split the file.") % {"most": MOST_ROWS}, number))
            if number > 2 * MOST_ROWS:
                break
            continue
        for index, cell in enumerate(cells):
            if cell.value in (None, ""):
                continue
            letter = get_column_letter(index + 1)
            if index >= MOST_COLUMNS:
                raise FileRefused(Trouble(_("More than %(most)s columns.") % {"most": MOST_COLUMNS}, number, letter))
            if cell.data_type == "e":
                message = _("The cell shows an error of the spreadsheet. Put it right there.")
                raise FileRefused(Trouble(message, number, letter, str(cell.value)))
        found.append(Row(number, tuple(_value(cell) for cell in cells[:MOST_COLUMNS])))
    return found


def _value(cell: Any) -> Cell:
    """What a person sees in a cell: 13.4 where 0.134 is shown as a percentage."""
    value: Cell = cell.value
    if isinstance(value, str):
        return value.strip()
    if isinstance(value, (int, float)) and not isinstance(value, bool) and "%" in _LITERAL.sub("", cell.number_format):
        return round(value * 100, _PERCENT_PLACES)
    return value


def _refuse_without_value(sheet: Any, rows: list[Row]) -> None:
    """A program that never worked a formula out leaves no value beside it, which must not pass for an empty cell."""
    for row, cells in zip(rows, sheet.iter_rows(max_col=MOST_COLUMNS), strict=False):
        for index, cell in enumerate(cells):
            if cell.data_type == "f" and index < len(row.cells) and row.cells[index] is None:
                message = _("This formula has never been worked out. Open the file in a spreadsheet and save it again.")
                raise FileRefused(Trouble(message, row.number, get_column_letter(index + 1), str(cell.value)))


def _looked_through(data: bytes) -> bool:
    """Unpack a workbook once without keeping it; tell whether any formula is in it.

    Raises:
        FileRefused: Far larger inside than outside, damaged, protected, or with a doctype.
    """
    too_large = Trouble(
        _("The workbook is far larger inside than outside. Save the rows alone as CSV."), 1, get_column_letter(1)
    )
    unpacked, has_formulas = 0, False
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            members = archive.infolist()
            if len(members) > MOST_MEMBERS:
                raise FileRefused(too_large)
            for member in members:
                with archive.open(member) as part:
                    before = b""
                    while chunk := part.read(_CHUNK):
                        unpacked += len(chunk)
                        if unpacked > MOST_UNPACKED:
                            raise FileRefused(too_large)
                        # Entities are how a few bytes of XML become many; a workbook has no need of a doctype.
                        plain = (before + chunk).replace(b"\0", b"")
                        if b"<!DOCTYPE" in plain.upper():
                            raise FileRefused(_damaged())
                        has_formulas = has_formulas or _FORMULA.search(plain) is not None
                        before = chunk[-32:]
    except (zipfile.BadZipFile, zlib.error, EOFError, RuntimeError, NotImplementedError, ValueError) as error:
        raise FileRefused(_damaged()) from error  # RuntimeError: it asks for a password
    return has_formulas
