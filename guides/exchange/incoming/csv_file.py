"""CSV as spreadsheets write it: three encodings, three separators; what is unsound is refused at its place."""

from __future__ import annotations

import codecs
import csv
import io
import unicodedata
from collections.abc import Collection
from typing import Final

from django.utils.translation import gettext as _

from .table import LONGEST_CELL, MOST_COLUMNS, FileRefused, Row, Table, Trouble, column_name, of_rows

SEPARATORS: Final = {",": "comma", ";": "semicolon", "\t": "tab"}
_BOMS: Final = ((codecs.BOM_UTF8, "utf-8"), (codecs.BOM_UTF16_LE, "utf-16-le"), (codecs.BOM_UTF16_BE, "utf-16-be"))
_NAMES: Final = {"utf-8": "UTF-8", "utf-16-le": "UTF-16", "utf-16-be": "UTF-16", "cp1252": "Windows-1252"}


def read(data: bytes, known: Collection[str]) -> Table:
    """Read the bytes of a CSV file.

    Args:
        data: the file.
        known: headings in small letters; the separator that brings out most of them is taken.

    Raises:
        FileRefused: Not to be decoded, an unclosed or misplaced quotation mark, a control character, a row of another
            length than the headings.
    """
    text, encoding = _decoded(data)
    separator = _separator(text, known)
    for offset, letter in enumerate(text):
        if letter not in "\t\r\n" and unicodedata.category(letter) == "Cc":
            message = _("A control character (code %(code)s) stands here. Type the cell again.") % {"code": ord(letter)}
            raise FileRefused(_at(text, offset, separator, message))
    rows: list[Row] = []
    try:
        for number, cells in enumerate(csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True), 1):
            rows.append(Row(number, tuple(cells)))
    except csv.Error as error:
        raise FileRefused(_broken(text, separator)) from error
    _refuse_ragged(rows)
    return of_rows(rows, f"CSV, {_NAMES[encoding]}, {SEPARATORS[separator]}")


def _decoded(data: bytes) -> tuple[str, str]:
    """Step down the ladder: a byte-order mark, UTF-16 by its zero bytes, UTF-8, and last Windows-1252."""
    for mark, encoding in _BOMS:
        if data.startswith(mark):
            return _strictly(data[len(mark) :], encoding), encoding
    start = data[:2000]
    if start and start.count(0) > len(start) // 4:
        encoding = "utf-16-be" if start[::2].count(0) > start[1::2].count(0) else "utf-16-le"
        return _strictly(data, encoding), encoding
    try:
        return data.decode("utf-8"), "utf-8"
    except UnicodeDecodeError as error:
        # Letters that are sound UTF-8 beside some that are not: one damaged file, not one of the older encoding.
        sound = data.decode("utf-8", "ignore")
        if not sound.isascii():
            raise FileRefused(_undecodable(data, error)) from error
    return _strictly(data, "cp1252"), "cp1252"


def _strictly(data: bytes, encoding: str) -> str:
    try:
        return data.decode(encoding)
    except UnicodeDecodeError as error:
        raise FileRefused(_undecodable(data, error)) from error


def _undecodable(data: bytes, error: UnicodeDecodeError) -> Trouble:
    before = data[: error.start].decode(error.encoding, "replace")
    message = _("This is no letter in %(encoding)s. Save the file as CSV in UTF-8 and choose it again.")
    named = _NAMES.get(error.encoding, error.encoding.upper())
    return _at(before, len(before), _separator(before, ()), message % {"encoding": named})


def _separator(text: str, known: Collection[str]) -> str:
    line = text.lstrip("\r\n").partition("\n")[0]

    def fit(separator: str) -> tuple[int, int]:
        cells = [cell.strip().strip('"').strip().lower() for cell in line.split(separator)]
        return sum(cell in known for cell in cells), len(cells)

    return max(SEPARATORS, key=fit)


def _refuse_ragged(rows: list[Row]) -> None:
    headings: tuple[str, ...] = ()
    for row in rows:
        if not any(row.cells):
            continue
        if not headings:
            headings = tuple(str(cell).strip() for cell in row.cells)
            if len(headings) > MOST_COLUMNS:
                message = _("More than %(most)s columns.") % {"most": MOST_COLUMNS}
                raise FileRefused(Trouble(message, row.number, column_name(headings, MOST_COLUMNS)))
            continue
        if len(row.cells) < len(headings):
            message = _(
                "The row ends before this column: it has %(found)s cells, the headings are %(wanted)s. "
                "A separator is missing somewhere in it."
            ) % {"found": len(row.cells), "wanted": len(headings)}
            raise FileRefused(Trouble(message, row.number, column_name(headings, len(row.cells))))
        if len(row.cells) > len(headings):
            message = _(
                "The row has %(found)s cells, the headings are %(wanted)s. A text with a separator in it belongs in "
                "quotation marks."
            ) % {"found": len(row.cells), "wanted": len(headings)}
            place = column_name(headings, len(headings))
            raise FileRefused(Trouble(message, row.number, place, str(row.cells[len(headings)])))


def _broken(text: str, separator: str) -> Trouble:
    """Find where quotation marks go wrong: the reader itself only says that they do."""
    offset, opened, cell_began = 0, -1, 0
    while offset < len(text):
        letter = text[offset]
        if offset - cell_began > csv.field_size_limit():
            break
        if opened >= 0:
            if letter == '"':
                if text[offset + 1 : offset + 2] == '"':
                    offset += 1
                elif text[offset + 1 : offset + 2] not in ("", separator, "\r", "\n"):
                    message = _("After a closing quotation mark comes a separator. Write marks inside a text twice.")
                    return _at(text, opened, separator, message)
                else:
                    opened = -1
        elif letter in (separator, "\r", "\n"):
            cell_began = offset + 1
        elif letter == '"' and offset == cell_began:
            opened = offset
        offset += 1
    if opened >= 0:
        message = _("The quotation mark that opens this cell is never closed. Close it, or take it out.")
        return _at(text, opened, separator, message)
    message = _("Longer than %(most)s characters. Shorten it.") % {"most": LONGEST_CELL}
    return _at(text, cell_began, separator, message)


def _at(text: str, offset: int, separator: str, message: str) -> Trouble:
    """Name the row and column of a place in the text, as far as quotation marks before it can be followed."""
    rows: list[list[str]] = [[]]
    try:
        for cells in csv.reader(io.StringIO(text[:offset] + "\x1a", newline=""), delimiter=separator):
            rows.append(cells)
    except csv.Error:  # a cell past the reader's own limit: the row is right, the column the last one read
        rows.append([""])
    headings = tuple(cell.strip() for cell in rows[1]) if len(rows) > 2 else ()
    return Trouble(message, max(len(rows) - 1, 1), column_name(headings, max(len(rows[-1]) - 1, 0)))
