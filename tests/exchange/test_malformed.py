"""A damaged list is refused at its row and column, and leaves nothing behind."""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Callable
from contextlib import nullcontext

import pytest

from guides.exchange.incoming import take_in
from guides.exchange.incoming.cells import Reading
from guides.exchange.incoming.kinds import KINDS
from guides.exchange.incoming.table import FileRefused, Trouble
from guides.lifecycle import bring_in
from guides.models import Address, Coffee, Event, Lot, User
from guides.queries.code_records import Kind, recorded

from .listed import as_csv, malformed, rows

FILES = 1000 if os.environ.get("FULL_COUNTS") == "1" else 100
LOTS = KINDS["lots"]

pytestmark = [pytest.mark.django_db, pytest.mark.data]


def troubles(data: bytes) -> list[Trouble]:
    try:
        plan = take_in.look(LOTS, data, Reading())
    except FileRefused as refused:
        return [refused.trouble]
    return [trouble for planned in plan.refused for trouble in planned.troubles]


def test_damaged_files_are_refused_at_their_place(rope_walk: Coffee, roaster: User) -> None:
    told: Counter[str] = Counter()
    for file in malformed(FILES):
        found = troubles(file.data)
        places = [(trouble.row, trouble.column) for trouble in found]
        assert (file.row, file.column or places[0][1]) in places, (file.what, file.row, file.column, places)
        with pytest.raises((FileRefused, take_in.Moved)):
            take_in.keep(LOTS, file.data, Reading(), by=roaster, source="damaged.csv")
        told[file.what.split(" '")[0]] += 1
    assert (Lot.objects.count(), Address.objects.count(), Event.objects.count()) == (0, 0, 0)
    print(f"{told.total()} damaged files in {len(told)} ways: 0 partial imports")


def test_what_is_told_says_what_to_do(rope_walk: Coffee) -> None:
    table = rows(3)
    table[2][3] = "1,234"
    (trouble,) = troubles(as_csv(table))
    assert str(trouble) == (
        "row 3, column green_kg, “1,234”: Thousands or decimals? Say which decimal sign the file uses, or write the "
        "number without the sign."
    )


def _cable_pulled(monkeypatch: pytest.MonkeyPatch) -> Callable[[int], None]:
    """Fail when the third of five batches is written."""
    monkeypatch.setattr(bring_in, "BATCH", 4)
    batches = []

    def progress(rows: int) -> None:
        batches.extend([rows] if rows == bring_in.BATCH else [])
        if len(batches) == 3:
            raise RuntimeError("cable pulled")

    return progress


def test_a_failure_in_the_middle_keeps_nothing(
    rope_walk: Coffee, roaster: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    pulled = _cable_pulled(monkeypatch)
    with pytest.raises(RuntimeError):
        take_in.keep(LOTS, as_csv(rows(20)), Reading(), by=roaster, source="lots.csv", progress=pulled)
    assert (Lot.objects.count(), Address.objects.count(), Event.objects.count()) == (0, 0, 0)
    assert recorded(Kind.LOT) == set()


def test_control_without_the_transaction_a_part_would_stay(
    rope_walk: Coffee, roaster: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    pulled = _cable_pulled(monkeypatch)
    monkeypatch.setattr(bring_in.transaction, "atomic", lambda **_options: nullcontext())
    with pytest.raises(RuntimeError):
        take_in.keep(LOTS, as_csv(rows(20)), Reading(), by=roaster, source="lots.csv", progress=pulled)
    assert Lot.objects.count() == 12
