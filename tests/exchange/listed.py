"""Lists as somebody's spreadsheet would have saved them, and the many ways in which they come damaged."""

from __future__ import annotations

import csv
import io
import random
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from openpyxl import Workbook

HEADINGS = ["name", "coffee", "roasted_on", "green_kg", "loss_percent", "bag_g", "gas"]
GOOD = {"coffee": "RW", "roasted_on": "2025-03-01", "green_kg": "12.5", "loss_percent": "13.4", "bag_g": "250",
        "gas": "lively"}  # fmt: skip


def rows(count: int = 20) -> list[list[str]]:
    """Headings and good lots."""
    return [list(HEADINGS), *([f"RW-{number:03d}", *GOOD.values()] for number in range(1, count + 1))]


def as_csv(table: list[list[str]], separator: str = ",", encoding: str = "utf-8") -> bytes:
    out = io.StringIO(newline="")
    csv.writer(out, delimiter=separator).writerows(table)
    return out.getvalue().encode(encoding)


def as_xlsx(table: list[list[object]]) -> bytes:
    book, out = Workbook(write_only=True), io.BytesIO()
    sheet = book.create_sheet("Lots")
    for row in table:
        sheet.append(row)
    book.save(out)
    return out.getvalue()


@dataclass(frozen=True)
class Malformed:
    """A damaged file, and where the damage is: row as a spreadsheet counts, column by heading."""

    what: str
    data: bytes
    row: int
    column: str | None
    """``None`` where a place in a row is all there is: the file ends in the middle."""


# What stands in a cell, by column; every one of them must be refused there.
CELLS = {
    "name": ["", "rw 1", "RW_1", "R" * 21, "lot é", "=RW-1"],
    "coffee": ["", "Nobody's", "RWX", "1"],
    "roasted_on": ["", "31.12.2024", "12/31/2024", "2025-02-30", "yesterday", "2025-13-01", "2999-01-01", "25-01-01"],
    "green_kg": ["", "-3", "0", "twelve", "1,234", "12.345", "12 kg", "1e3", "NaN", "9999999", "12.5.1"],
    "loss_percent": ["", "60", "-1", "13,4,5", "13 %", "1.234"],
    "bag_g": ["0", "-250", "2.5", "1.000", "a bag", "99999999999"],
    "gas": ["gassy", "1", "live ly"],
}  # fmt: skip


def malformed(count: int, seed: int = 8) -> Iterator[Malformed]:
    """Give as many damaged files; every kind of damage comes up in turn."""
    chance = random.Random(seed)
    kinds: list[Callable[[random.Random], Malformed]] = [
        _cell, _cell_of_workbook, _cell, _unclosed, _text_after_quote, _too_many, _too_few, _control, _undecodable,
        _half_utf8, _unknown_heading, _doubled_heading, _no_key, _doubled_row, _error_in_workbook, _cut_workbook,
        _bomb, _nothing, _no_heading_above, _endless_cell,
    ]  # fmt: skip
    for number in range(count):
        yield kinds[number % len(kinds)](chance)


def _spot(chance: random.Random, table: list[list[str]]) -> tuple[int, int]:
    return chance.randrange(1, len(table)), chance.randrange(len(table[0]))


def _bad_cell(chance: random.Random) -> tuple[list[list[str]], int, str, str]:
    table, column = rows(), chance.choice(HEADINGS)
    row, value = chance.randrange(1, len(table)), chance.choice(CELLS[column])
    table[row][HEADINGS.index(column)] = value
    return table, row + 1, column, value


def _cell(chance: random.Random) -> Malformed:
    table, row, column, value = _bad_cell(chance)
    data = as_csv(table, chance.choice(",;\t"), chance.choice(["utf-8", "utf-8-sig", "utf-16", "cp1252"]))
    return Malformed(f"cell {value!r}", data, row, column)


def _cell_of_workbook(chance: random.Random) -> Malformed:
    table, row, column, value = _bad_cell(chance)
    return Malformed(f"workbook cell {value!r}", as_xlsx(table) if value[:1] != "=" else as_csv(table), row, column)


def _unclosed(chance: random.Random) -> Malformed:
    table = rows()
    row, column = _spot(chance, table)
    table[row][column] = "\x00" + table[row][column]
    return Malformed("unclosed", as_csv(table).replace(b"\x00", b'"'), row + 1, HEADINGS[column])


def _text_after_quote(chance: random.Random) -> Malformed:
    table = rows()
    row, column = _spot(chance, table)
    table[row][column] = "\x00a\x00b"
    return Malformed("text after a quote", as_csv(table).replace(b"\x00", b'"'), row + 1, HEADINGS[column])


def _too_many(chance: random.Random) -> Malformed:
    table = rows()
    row, _column = _spot(chance, table)
    table[row].append("more")
    return Malformed("a cell too many", as_csv(table), row + 1, f"number {len(HEADINGS) + 1}")


def _too_few(chance: random.Random) -> Malformed:
    table = rows()
    row, column = _spot(chance, table)
    table[row] = table[row][: max(column, 1)]
    return Malformed("cells too few", as_csv(table), row + 1, HEADINGS[max(column, 1)])


def _control(chance: random.Random) -> Malformed:
    table = rows()
    row, column = _spot(chance, table)
    table[row][column] += chance.choice("\x00\x01\x07\x1b\x7f\x85")
    return Malformed("a control character", as_csv(table), row + 1, HEADINGS[column])


def _undecodable(chance: random.Random) -> Malformed:
    table = rows()
    row, column = _spot(chance, table)
    table[row][column] += "\u2603"
    hole = chance.choice([b"\x81", b"\x8d", b"\x8f", b"\x90", b"\x9d"])  # holes in Windows-1252
    return Malformed("a byte of no encoding", as_csv(table).replace("\u2603".encode(), hole), row + 1, HEADINGS[column])


def _half_utf8(chance: random.Random) -> Malformed:
    """Sound letters of more than a byte first, then half of one: what a cut or patched file looks like."""
    table = rows()
    row, column = chance.randrange(2, len(table)), chance.randrange(len(HEADINGS))
    table[1][6], table[row][column] = "ø☕", table[row][column] + "\x1e"
    return Malformed("half a letter", as_csv(table).replace(b"\x1e", b"\xe2\x98"), row + 1, HEADINGS[column])


def _unknown_heading(chance: random.Random) -> Malformed:
    table = rows()
    table[0][chance.randrange(1, len(HEADINGS))] = "colour of the tin"
    return Malformed("unknown heading", as_csv(table), 1, "colour of the tin")


def _doubled_heading(chance: random.Random) -> Malformed:
    table = rows()
    table[0][chance.randrange(2, len(HEADINGS))] = "coffee"
    return Malformed("a heading twice", as_csv(table), 1, "coffee")


def _no_key(chance: random.Random) -> Malformed:
    return Malformed("nothing tells rows apart", as_csv([row[1:] for row in rows()]), 1, "name")


def _doubled_row(chance: random.Random) -> Malformed:
    table = rows()
    row = chance.randrange(2, len(table))
    table[row][0] = table[1][0]
    return Malformed("a row twice", as_csv(table), row + 1, "name")


def _no_heading_above(chance: random.Random) -> Malformed:
    table = rows()
    column = chance.randrange(1, len(HEADINGS))
    table[0][column] = ""
    return Malformed("no heading above", as_csv(table), 2, f"number {column + 1}")


def _error_in_workbook(chance: random.Random) -> Malformed:
    table = rows()
    row, column = _spot(chance, table)
    table[row][column] = chance.choice(["#REF!", "#N/A", "#DIV/0!", "#VALUE!"])
    return Malformed("an error of the spreadsheet", as_xlsx(table), row + 1, "ABCDEFG"[column])


def _cut_workbook(chance: random.Random) -> Malformed:
    whole = as_xlsx(rows())
    return Malformed("a workbook cut off", whole[: chance.randrange(4, len(whole) - 1)], 1, "A")


def _bomb(chance: random.Random) -> Malformed:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        if chance.random() < 0.2:
            with archive.open("xl/worksheets/sheet1.xml", "w", force_zip64=True) as part:
                for _ in range(41):
                    part.write(bytes(1_000_000))
        else:
            entities = '<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;">]><x>&b;</x>'
            archive.writestr("xl/workbook.xml", entities)
    return Malformed("larger inside than outside", out.getvalue(), 1, "A")


def _endless_cell(chance: random.Random) -> Malformed:
    table = rows()
    row, column = _spot(chance, table)
    table[row][column] = chance.choice("xø") * chance.choice([5_001, 200_000])
    return Malformed("a cell without end", as_csv(table), row + 1, HEADINGS[column])


def _nothing(chance: random.Random) -> Malformed:
    return Malformed("nothing in it", chance.choice([b"", b"\xef\xbb\xbf", b"\r\n\r\n", b" , ,\n"]), 1, None)
