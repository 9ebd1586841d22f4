"""Workbooks (ISO/IEC 29500, .xlsx), through openpyxl: the first sheet, its values, nothing that runs.

A workbook is a ZIP file of XML, and both can be small outside and huge inside. So it is measured while it is unpacked,
before the library sees it.
"""

from __future__ import annotations

import io
import zipfile
import zlib
from typing import Final
from xml.etree.ElementTree import ParseError

from django.utils.translation import gettext as _
from openpyxl import load_workbook
from openpyxl.utils import get_column_letter
from openpyxl.utils.exceptions import InvalidFileException

from .table import MOST_COLUMNS, MOST_ROWS, FileRefused, Row, Table, Trouble, of_rows

MAGIC: Final = b"PK\x03\x04"
MOST_UNPACKED: Final = 40_000_000
MOST_MEMBERS: Final = 1_000
_CHUNK: Final = 1 << 20


def read(data: bytes) -> Table:
    """Read the first sheet of a workbook.

    Raises:
        FileRefused: Damaged, protected, too large once unpacked, or a cell that holds an error.
    """
    _refuse_bomb(data)
    try:
        book = load_workbook(io.BytesIO(data), read_only=True, data_only=True, keep_links=False)
        try:
            sheet = book.worksheets[0]
            sheet.reset_dimensions()  # what a file claims of its own size is not believed
            rows = list(_rows(sheet))
            return of_rows(rows, f"XLSX, {sheet.title}")
        finally:
            book.close()
    except FileRefused:
        raise
    except (InvalidFileException, ParseError, zipfile.BadZipFile, zlib.error, KeyError, IndexError) as error:
        raise FileRefused(_damaged()) from error
    except (ValueError, TypeError, AttributeError, OSError, EOFError, SyntaxError, NotImplementedError) as error:
        # The library meets the unexpected with whatever comes up; a person is told one thing.
        raise FileRefused(_damaged()) from error


def _damaged() -> Trouble:
    message = _("The workbook is damaged or of another kind. Open it in a spreadsheet and save it as .xlsx or CSV.")
    return Trouble(message, 1, get_column_letter(1))


def _rows(sheet: object) -> list[Row]:
    found: list[Row] = []
    for number, cells in enumerate(sheet.iter_rows(max_col=MOST_COLUMNS + 1), 1):  # type: ignore[attr-defined]
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
        values = [cell.value.strip() if isinstance(cell.value, str) else cell.value for cell in cells]
        found.append(Row(number, tuple(values[:MOST_COLUMNS])))
    return found


def _refuse_bomb(data: bytes) -> None:
    too_large = Trouble(
        _("The workbook is far larger inside than outside. Save the rows alone as CSV."), 1, get_column_letter(1)
    )
    unpacked = 0
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
                        if b"<!DOCTYPE" in (before + chunk).replace(b"\0", b"").upper():
                            raise FileRefused(_damaged())
                        before = chunk[-32:]
    except (zipfile.BadZipFile, zlib.error, EOFError, RuntimeError, NotImplementedError, ValueError) as error:
        raise FileRefused(_damaged()) from error  # RuntimeError: it asks for a password
