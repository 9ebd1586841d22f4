"""How a cell, a file of cells and a workbook are understood."""

from __future__ import annotations

import datetime
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guides.exchange.incoming import csv_file, take_in, xlsx_file
from guides.exchange.incoming.cells import CellRefused, Dates, Decimals, Reading, date, number, yes_or_no
from guides.exchange.incoming.kinds import KINDS
from guides.exchange.incoming.table import FileRefused

from .listed import as_csv, as_xlsx, rows

LOTS = KINDS["lots"]
NORTHERN = ["name", "coffee", "roasted_on"], ["KØL-1", "Mörk kaffe – ”kajen”", "2025-03-01"]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"])
@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_encodings_and_separators_come_to_the_same(encoding: str, separator: str) -> None:
    data = as_csv([list(row) for row in NORTHERN], separator, encoding)
    table = csv_file.read(data, LOTS.headings())
    assert (list(table.headings), list(table.rows[0].cells)) == NORTHERN


def test_separator_inside_a_text_is_text() -> None:
    table = csv_file.read(b'name;origin\r\nRW;"a, b; c, ""d"""\r\n', {"name", "origin"})
    assert table.rows[0].cells == ("RW", 'a, b; c, "d"')


def test_workbook_reads_as_the_same_rows_as_csv() -> None:
    typed = [rows(1)[0], ["RW-001", "RW", datetime.date(2025, 3, 1), 12.5, 13.4, 250, "lively"]]
    table = xlsx_file.read(as_xlsx(typed))
    assert table.headings == csv_file.read(as_csv(rows(1)), LOTS.headings()).headings
    assert date(table.rows[0].cells[2], Reading()) == datetime.date(2025, 3, 1)
    assert number(table.rows[0].cells[3], Reading()) == Decimal("12.5")


# After ISO 31-0 and the common ways of writing: a comma or a point on the line, spaces between groups of three.
@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("12.5", "12.5"), ("12,5", "12.5"), ("-5", "-5"), ("−5", "-5"), ("1 234,5", "1234.5"), ("1 234", "1234"),
        ("1,234.5", "1234.5"), ("1.234,5", "1234.5"), ("1,234,567", "1234567"), ("0,125", "0.125"), ("'-5", "-5"),
        ("+3", "3"), (12.1, "12.1"), (7, "7"),
    ],
)  # fmt: skip
def test_numbers(written: str | float, read: str) -> None:
    assert number(written, Reading()) == Decimal(read)


@pytest.mark.parametrize("written", ["1,234", "1.234", "12,500", "1,23,4", "1e3", "½", "١٢", "12 kg", "--5", "", "∞"])
def test_a_number_that_could_be_two_or_is_none_is_not_guessed(written: str) -> None:
    with pytest.raises(CellRefused):
        number(written, Reading())


@pytest.mark.parametrize(
    ("decimals", "written", "read"),
    [
        (Decimals.COMMA, "12,500", "12.5"), (Decimals.COMMA, "1.234", "1234"), (Decimals.POINT, "12.500", "12.5"),
        (Decimals.POINT, "1,234", "1234"), (Decimals.COMMA, "12.5", None), (Decimals.POINT, "12,5", None),
    ],
)  # fmt: skip
def test_the_decimal_sign_said_settles_it(decimals: Decimals, written: str, read: str | None) -> None:
    if read is None:
        with pytest.raises(CellRefused, match="Look at its decimal sign"):
            number(written, Reading(decimals=decimals))
    else:
        assert number(written, Reading(decimals=decimals)) == Decimal(read)


@given(st.decimals(min_value=-99999, max_value=99999, places=2))
def test_any_number_is_read_back_in_either_style(value: Decimal) -> None:
    assert number(str(value), Reading(decimals=Decimals.POINT)) == value
    assert number(str(value).replace(".", ","), Reading(decimals=Decimals.COMMA)) == value


@given(st.dates())
def test_any_date_is_read_back(day: datetime.date) -> None:
    day_first = Reading(Dates.DAY_FIRST)
    assert date(day.isoformat(), day_first) == day
    assert date(f"{day.day:02}.{day.month:02}.{day.year:04}", day_first) == day
    assert date(f"{day.day}/{day.month}/{day.year:04}", day_first) == day


@pytest.mark.parametrize(
    "written", ["12/31/2024", "2024-31-12", "31.12.24", "1 March 2025", "45000", "2025-03-01T12:00"]
)
def test_other_dates_are_refused(written: str) -> None:
    with pytest.raises(CellRefused):
        date(written, Reading(Dates.DAY_FIRST))


def test_day_first_must_be_chosen() -> None:
    with pytest.raises(CellRefused, match="choose that days come first"):
        date("03.04.2025", Reading())


@pytest.mark.parametrize(
    ("written", "read"), [("yes", True), ("Ja", True), ("kyllä", True), (True, True), ("0", False), ("EI", False)]
)
def test_yes_and_no_in_every_language(written: str | bool, read: bool) -> None:
    assert yes_or_no(written) is read


def test_headings_are_known_in_every_language() -> None:
    known = LOTS.headings()
    assert (known["lot name"], known["name"], known["roast loss, %"]) == ("name", "name", "loss_percent")
    assert len(set(known.values())) == len(LOTS.columns) + len(LOTS.told)


def test_the_limit_of_bytes_is_kept() -> None:
    with pytest.raises(FileRefused, match="larger than 20 MB"):
        take_in.read(LOTS, bytes(20_000_001))


def test_claimed_dimensions_are_not_believed() -> None:
    """A sheet may say it has a million rows and columns; only cells that are there are read."""
    far = [rows(1)[0], *rows(1)[1:], *[[None]] * 3]
    assert len(xlsx_file.read(as_xlsx(far)).rows) == 1
