"""Workbooks as spreadsheet programs leave them.

Outside source: ECMA-376, part 1: 18.17.4.1 (the two date systems), 18.8.30 (formats), 18.3.1 (rows, cells and what may
be left out). No spreadsheet program was at hand; the files are written after the standard.
"""

from __future__ import annotations

import datetime

import pytest
from django.db import transaction

from guides.exchange.incoming import take_in
from guides.exchange.incoming.cells import Reading
from guides.exchange.incoming.kinds import KINDS
from guides.exchange.incoming.table import FileRefused
from guides.models import Coffee, Lot

from .listed import HEADINGS
from .workbooks import (
    DATE,
    DAY_FIRST,
    GENERAL,
    PERCENT,
    PERCENT_WORD,
    TEXT,
    TWO_PLACES,
    headings,
    number,
    row,
    shared,
    typed,
    workbook,
    worked_out,
)

HEAD = headings(*HEADINGS)
# 1 March 2025 lies 45,717 days after the day before 1900 as that system counts, and 44,255 after 1 January 1904.
DAY, DAY_FROM_1904 = 45_717, 44_255


def lot(at: int, name: str = "RW-001", **cells: str) -> str:
    """A row with one good lot, some cells of it written otherwise."""
    good = {
        "A": typed("A", name), "B": typed("B", "RW"), "C": number("C", DAY, DATE), "D": number("D", "12.5"),
        "E": number("E", "13.4"), "F": number("F", 250), "G": typed("G", "lively"),
    }  # fmt: skip
    return row(at, *(good | cells).values())


def kept(data: bytes, roaster) -> list[Lot]:
    """The lots that a file brings in, which go again at once."""
    with transaction.atomic():
        take_in.keep(KINDS["lots"], data, Reading(), by=roaster, source="lots.xlsx")
        found = list(Lot.objects.order_by("name"))
        transaction.set_rollback(True)
    return found


def only(data: bytes, roaster) -> Lot:
    (found,) = kept(data, roaster)
    return found


def test_the_days_are_what_a_calendar_says() -> None:
    """Outside check: the standard's own first days (serial 1 is 1 January 1900, and a 29 February that never was)."""
    assert datetime.date(1899, 12, 30) + datetime.timedelta(DAY) == datetime.date(2025, 3, 1)
    assert datetime.date(1904, 1, 1) + datetime.timedelta(DAY_FROM_1904) == datetime.date(2025, 3, 1)


@pytest.mark.django_db
@pytest.mark.parametrize(
    "cells",
    [
        {},
        {"C": number("C", DAY, DAY_FIRST)},
        {"C": number("C", f"{DAY}.0", DATE)},
        {"C": typed("C", "2025-03-01")},
        {"C": '<c r="C{r}" t="d"><v>2025-03-01</v></c>'},
        {"E": number("E", "0.134", PERCENT)},
        {"E": number("E", "0.13400000000000001", PERCENT)},
        {"E": number("E", "13.4", PERCENT_WORD)},  # a unit that is only shown behind the number
        {"D": number("D", "12.5", TWO_PLACES), "E": number("E", "1.34E1")},
        {"D": typed("D", "12,5"), "E": f'<c r="E{{r}}" s="{TEXT}" t="inlineStr"><is><t>13.4</t></is></c>'},
        {"D": worked_out("D", "5*2.5", "12.5")},
        {"G": worked_out("G", 'LOWER("LIVELY")', "lively", "str")},
        {"G": typed("G", " lively\u00a0")},
        {"A": shared("A", 0), "G": shared("G", 1)},
        {"F": number("F", "250.0")},
        # Cells without a place follow the one before.
        {"F": "<c><v>250</v></c>", "G": '<c t="inlineStr"><is><t>lively</t></is></c>'},
    ],
)
def test_a_lot_comes_in_however_its_cells_are_written(rope_walk: Coffee, roaster, cells) -> None:
    texts = ["<t>RW-001</t>", "<r><rPr><b/></rPr><t>live</t></r><r><t>ly</t></r><rPh sb='0' eb='1'><t>x</t></rPh>"]
    found = only(workbook(("Lots", HEAD + lot(2, **cells)), shared=texts), roaster)
    assert (found.name, found.roasted_on, found.gas) == ("RW-001", datetime.date(2025, 3, 1), "lively")
    assert (str(found.green_kg), str(found.loss_percent), found.bag_g) == ("12.50", "13.4", 250)


@pytest.mark.django_db
def test_days_counted_from_1904(rope_walk: Coffee, roaster) -> None:
    cells = {"C": number("C", DAY_FROM_1904, DATE)}
    assert (
        only(workbook(("Lots", HEAD + lot(2, **cells)), from_1904=True), roaster).roasted_on.isoformat() == "2025-03-01"
    )
    # The same days in a file that counts from 1900 are another date, four years and a day before.
    assert only(workbook(("Lots", HEAD + lot(2, **cells))), roaster).roasted_on.isoformat() == "2021-02-28"


@pytest.mark.django_db
def test_gaps_and_what_is_empty_make_no_difference(rope_walk: Coffee, roaster) -> None:
    """Rows left out, rows of styled but empty cells, a last cell far to the right with nothing in it."""
    empty = "".join(row(at, number("A", "", TEXT), '<c r="XFD{r}" s="1"/>') for at in range(900, 950))
    rows = HEAD + lot(4, "RW-001") + row(5) + lot(9, "RW-002") + empty
    assert [each.name for each in kept(workbook(("Lots", rows)), roaster)] == ["RW-001", "RW-002"]


@pytest.mark.django_db
def test_the_first_sheet_that_is_seen_is_read(rope_walk: Coffee, roaster) -> None:
    notes, lots = headings("Prices", "of", "last", "year"), HEAD + lot(2)
    data = workbook(("Prices", notes), ("Lots", lots), ("Old", HEAD + lot(2, "RW-000")), hidden=["Prices"])
    assert only(data, roaster).name == "RW-001"


@pytest.mark.django_db
def test_rows_that_a_filter_hides_come_too(rope_walk: Coffee, roaster) -> None:
    """As in a CSV file of the same sheet; the dry run lists them before anything is kept."""
    hidden = lot(3, "RW-002").replace("<row ", '<row hidden="1" ')
    assert len(kept(workbook(("Lots", HEAD + lot(2) + hidden)), roaster)) == 2


REFUSED = [
    (HEAD + lot(2, C=number("C", DAY, GENERAL)), 2, "C", "Not a date"),
    (HEAD + lot(2, D=worked_out("D", "5*2.5")), 2, "D", "never been worked out"),
    (HEAD + lot(2, D=worked_out("D", "1/0", "#DIV/0!", "e")), 2, "D", "shows an error"),
    (HEAD + lot(2, E=number("E", "13.4", PERCENT)), 2, "E", ""),  # 1340 %
    (HEAD + lot(2, D='<c r="D{r}" t="b"><v>1</v></c>'), 2, "D", "Not a number"),
    (row(1, typed("A", "Our lots, winter")) + HEAD.replace('r="1"', 'r="2"').replace('1" t=', '2" t=') + lot(3)
     + '|<mergeCells count="1"><mergeCell ref="A1:G1"/></mergeCells>', 2, "B", "no heading above"),
    (HEAD + lot(2) + row(3, typed("A", "Sum"), worked_out("D", "SUM(D2:D2)", "12.5")), 3, "B", "Empty"),
]  # fmt: skip


@pytest.mark.django_db
@pytest.mark.parametrize(("rows", "at", "column", "words"), REFUSED)
def test_what_cannot_be_meant_is_refused_at_its_place(rope_walk: Coffee, roaster, rows, at, column, words) -> None:
    data = workbook(("Lots", rows))
    try:
        plan = take_in.look(KINDS["lots"], data, Reading())
        found = [trouble for planned in plan.refused for trouble in planned.troubles]
    except FileRefused as refused:
        found = [refused.trouble]
    place = HEADINGS[ord(column) - ord("A")]
    assert any(
        trouble.row == at
        and trouble.column in (column, place, f"number {ord(column) - 64}")
        and words in trouble.message
        for trouble in found
    ), [str(trouble) for trouble in found]
    with pytest.raises((FileRefused, take_in.Moved)):
        take_in.keep(KINDS["lots"], data, Reading(), by=roaster, source="lots.xlsx")
    assert not Lot.objects.exists()
