"""From what stands in a cell to what a column holds.

A number or a date that could be read in two ways is not guessed: it is refused, with how to write it. What our own
lists put in front of a text so that no spreadsheet runs it is taken off again; a minus stays.
"""

from __future__ import annotations

import datetime
import re
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from enum import Enum
from functools import cache
from typing import Any, Final

from django.conf import settings
from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import override

from guides.exchange.formulas import without_prefix

from .table import Cell


class Dates(Enum):
    ISO = "iso"
    DAY_FIRST = "day-first"


class Decimals(Enum):
    AUTO = "auto"
    COMMA = "comma"
    POINT = "point"


@dataclass(frozen=True)
class Reading:
    """How the writer of a file writes dates and decimals."""

    dates: Dates = Dates.ISO
    decimals: Decimals = Decimals.AUTO


class CellRefused(Exception):
    """The text says what is wrong with the cell and what to write."""


_ISO: Final = re.compile(r"(\d{4})-(\d{2})-(\d{2})(?:[T ]00:00(?::00)?)?")
_DAY_FIRST: Final = re.compile(r"(\d{1,2})[./-](\d{1,2})[./-](\d{4})")
_SPACES: Final = re.compile(r"[\s\u00a0\u202f]")
_PLAIN: Final = re.compile(r"[-+\u2212]?(?:\d+|\d+[.,]\d+|\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d{1,3}(?:\.\d{3})+(?:,\d+)?)")
_THREE_DIGITS: Final = re.compile(r"[-+\u2212]?[1-9]\d{0,2}[.,]\d{3}")


def text(cell: Cell) -> str:
    """Give a cell as text; whole numbers of a spreadsheet without a decimal point."""
    if isinstance(cell, bool):
        return "true" if cell else "false"
    if isinstance(cell, float) and cell.is_integer():
        return str(int(cell))
    if isinstance(cell, datetime.datetime):
        return cell.date().isoformat() if cell.time() == datetime.time() else cell.isoformat(" ")
    return "" if cell is None else without_prefix(str(cell).strip())


def number(cell: Cell, reading: Reading) -> Decimal:
    """Read a number, with a decimal point or comma, spaces between thousands, and a minus.

    Raises:
        CellRefused: No number, or one that could be read in two ways.
    """
    if isinstance(cell, (int, float, Decimal)) and not isinstance(cell, bool):
        return _finite(Decimal(repr(cell)) if isinstance(cell, float) else Decimal(cell))
    written = _SPACES.sub("", text(cell))
    if (not written.isascii() and "\u2212" not in written) or not _PLAIN.fullmatch(written):
        raise CellRefused(_("Not a number. Write it in digits alone, without a unit, such as 12.5."))
    written = written.replace("\u2212", "-")
    point = _decimal_sign(written, reading)
    digits = written.replace("," if point == "." else ".", "").replace(point, ".")
    try:
        return _finite(Decimal(digits))
    except InvalidOperation as error:
        raise CellRefused(_("Not a number. Write it in digits alone, without a unit, such as 12.5.")) from error


def whole(cell: Cell, reading: Reading) -> int:
    """Read a whole number.

    Raises:
        CellRefused: Not one.
    """
    found = number(cell, reading)
    if found != found.to_integral_value():
        raise CellRefused(_("A whole number is wanted here."))
    if abs(found) > 2_000_000_000:
        raise CellRefused(_("Too large a number."))
    return int(found)


def date(cell: Cell, reading: Reading) -> datetime.date:
    """Read a date: year, month, day; or day first where that was chosen.

    Raises:
        CellRefused: No date, or written in another order.
    """
    if isinstance(cell, datetime.datetime):
        return cell.date()
    if isinstance(cell, datetime.date):
        return cell
    written = text(cell)
    iso, day_first = _ISO.fullmatch(written), _DAY_FIRST.fullmatch(written)
    try:
        if iso:
            return datetime.date(*map(int, iso.groups()))
        if day_first and reading.dates is Dates.DAY_FIRST:
            day, month, year = map(int, day_first.groups())
            return datetime.date(year, month, day)
    except ValueError as error:
        raise CellRefused(_("There is no such day.")) from error
    if day_first:
        raise CellRefused(_("Write the date as 2025-12-31, or choose that days come first in this file."))
    raise CellRefused(_("Not a date. Write it as 2025-12-31."))


def yes_or_no(cell: Cell) -> bool:
    """Read yes or no, in any language of the site.

    Raises:
        CellRefused: Neither.
    """
    try:
        return _said()[text(cell).casefold()]
    except KeyError:
        raise CellRefused(_("Write yes or no.")) from None


def one_of(cell: Cell, words: Words) -> str:
    """Read one of a column's words: the word itself, or its name in any language of the site.

    Raises:
        CellRefused: None of them.
    """
    try:
        return words.values[text(cell).casefold()]
    except KeyError:
        raise CellRefused(_("Write one of: %(words)s.") % {"words": ", ".join(map(str, words.labels))}) from None


@dataclass(frozen=True)
class Words:
    """What a column of words takes: by how it may be written, and the names to tell."""

    values: dict[str, str]
    labels: tuple[object, ...]


def words(column: models.Field[Any, Any]) -> Words:
    """Give what a column with choices takes."""
    choices = list(column.flatchoices)
    values = {
        name.casefold(): str(value) for value, label in choices for name in {str(value), *in_every_language(label)}
    }
    return Words(values, tuple(label for _value, label in choices))


def in_every_language(label: object) -> set[str]:
    """Give a translatable text in all languages of the site."""
    found = set()
    for code, _name in settings.LANGUAGES:
        with override(code):
            found.add(str(label))
    return found


@cache
def _said() -> dict[str, bool]:
    found = {"true": True, "1": True, "yes": True, "false": False, "0": False, "no": False}
    for code, _name in settings.LANGUAGES:
        with override(code):
            found |= {_("yes").casefold(): True, _("no").casefold(): False}
    return found


def _decimal_sign(written: str, reading: Reading) -> str:
    if reading.decimals is not Decimals.AUTO:
        point, other = (",", ".") if reading.decimals is Decimals.COMMA else (".", ",")
        grouped = rf"[-+]?\d{{1,3}}(?:\{other}\d{{3}})+(?:\{point}\d+)?"
        if written.count(point) > 1 or (other in written and not re.fullmatch(grouped, written)):
            raise CellRefused(_("Not a number as this file was said to write them. Look at its decimal sign."))
        return point
    if "," in written and "." in written:
        return max(",.", key=written.rfind)
    sign = "," if "," in written else "."
    if written.count(sign) > 1:
        return "." if sign == "," else ","
    if _THREE_DIGITS.fullmatch(written):
        raise CellRefused(
            _("Thousands or decimals? Say which decimal sign the file uses, or write the number without the sign.")
        )
    return sign


def _finite(found: Decimal) -> Decimal:
    if not found.is_finite():
        raise CellRefused(_("Not a number. Write it in digits alone, without a unit, such as 12.5."))
    return found
