"""What a file would do, row by row, before it does anything: new, changed with old and new, unchanged, or refused."""

from __future__ import annotations

import copy
import hashlib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from enum import Enum
from typing import Any, Final

from django.core.exceptions import NON_FIELD_ERRORS
from django.db import models
from django.utils.text import slugify
from django.utils.translation import gettext as _

from guides.lifecycle.many_rows import RowCheck

from . import cells
from .cells import CellRefused, Reading
from .kinds import Kind
from .table import Cell, FileRefused, Row, Table, Trouble, column_name

Progress = Callable[[int], object]


class Fate(Enum):
    NEW = "new"
    CHANGED = "changed"
    UNCHANGED = "unchanged"
    REFUSED = "refused"


_JUDGED: Final = (Fate.NEW, Fate.CHANGED)


@dataclass
class Planned:
    """One row of the file: what it is called, what becomes of it, and the stored or new row with its values in it."""

    number: int
    name: str = ""
    fate: Fate = Fate.UNCHANGED
    row: Any = None
    was: dict[str, str] = field(default_factory=dict)
    now: dict[str, str] = field(default_factory=dict)
    troubles: list[Trouble] = field(default_factory=list)

    @property
    def changes(self) -> list[tuple[str, str, str]]:
        """Column by name, old and new."""
        label = self.row._meta.get_field
        return [(str(label(name).verbose_name), old, self.now[name]) for name, old in self.was.items()]


@dataclass(frozen=True)
class Plan:
    """A whole file judged. ``notes`` tell what is passed over, ``read_as`` how the bytes were understood."""

    kind: Kind
    rows: tuple[Planned, ...]
    read_as: str
    notes: tuple[str, ...] = ()
    check: RowCheck | None = None

    def of(self, fate: Fate) -> list[Planned]:
        return [planned for planned in self.rows if planned.fate is fate]

    @property
    def new(self) -> list[Planned]:
        return self.of(Fate.NEW)

    @property
    def changed(self) -> list[Planned]:
        return self.of(Fate.CHANGED)

    @property
    def unchanged(self) -> list[Planned]:
        return self.of(Fate.UNCHANGED)

    @property
    def refused(self) -> list[Planned]:
        return self.of(Fate.REFUSED)

    @property
    def does_something(self) -> bool:
        return bool(self.new or self.changed)

    def digest(self) -> str:
        """Give a mark of what was shown: as long as it is the same, confirming does what was read."""
        told = hashlib.sha256()
        for planned in self.rows:
            told.update(repr((planned.number, planned.fate, planned.was, planned.now)).encode())
        return told.hexdigest()


def make(kind: Kind, table: Table, reading: Reading, progress: Progress = lambda _rows: None) -> Plan:
    """Judge every row of a file, and tell ``progress`` of each once. Nothing is written.

    Raises:
        FileRefused: A heading is unknown or stands twice, or the column that tells rows apart is missing.
    """
    columns, notes = _headings(kind, table)
    reader = _Reader(kind, table, columns, reading)
    planned = []
    for row in table.rows:
        planned.append(reader.read(row))
        progress(planned[-1].fate not in _JUDGED)
    check = RowCheck(kind.model)
    # In the order in which they are kept.
    for wanted in _JUDGED:
        for one in [one for one in planned if one.fate is wanted]:
            reader.judge(one, check)
            progress(1)
    return Plan(kind, tuple(planned), table.read_as, notes, check)


def _headings(kind: Kind, table: Table) -> tuple[dict[str, int], tuple[str, ...]]:
    known, columns = kind.headings(), dict[str, int]()
    first = 1
    for index, heading in enumerate(table.headings):
        if not heading:
            continue
        name = known.get(heading.casefold())
        if name is None:
            message = _("This heading is not known here. Take the column out, or call it one of: %(words)s.")
            raise FileRefused(Trouble(message % {"words": ", ".join(kind.columns)}, first, heading))
        if name in columns:
            message = _("This column stands here twice. Take one of them out.")
            raise FileRefused(Trouble(message, first, heading))
        columns[name] = index
    for name in kind.key:
        if name not in columns:
            message = _("This column is missing. It tells the rows apart; add it.")
            raise FileRefused(Trouble(message, first, name))
    told = [table.headings[columns.pop(name)] for name in kind.told if name in columns]
    return columns, tuple(_("Column %(name)s is only for reading and passed over.") % {"name": name} for name in told)


class _Reader:
    """Turns rows of one file into rows of one model."""

    def __init__(self, kind: Kind, table: Table, columns: Mapping[str, int], reading: Reading) -> None:
        self._kind, self._headings, self._columns, self._reading = kind, table.headings, columns, reading
        self._stored = {self._key(row): row for row in kind.model._base_manager.select_related(*kind.links)}
        self._linked = {name: self._others(name, called_by) for name, called_by in kind.links.items()}
        self._words = {name: cells.words(column) for name, column in kind.fields.items() if column.choices}
        self._seen: dict[tuple[object, ...], int] = {}

    def read(self, row: Row) -> Planned:
        """Read a row as far as it can be read by itself."""
        planned = Planned(row.number)
        values = self._values(row, planned)
        planned.name = " · ".join(cells.text(self._cell(row, name)) for name in self._kind.key)
        if not planned.troubles:
            key = tuple(values[name] for name in self._kind.key)
            if key in self._seen:
                message = _("Row %(number)s has the same. Keep one of them.") % {"number": self._seen[key]}
                self._refuse(planned, self._kind.key[0], message, planned.name)
            else:
                self._seen[key] = row.number
                self._meet(planned, values, self._stored.get(key))
        planned.fate = Fate.REFUSED if planned.troubles else planned.fate
        return planned

    def judge(self, planned: Planned, check: RowCheck) -> None:
        """Hold a row against the rules of its table."""
        for name, messages in check.errors(planned.row).items():
            for message in messages:
                value = "" if name == NON_FIELD_ERRORS else planned.now.get(name, "")
                self._refuse(planned, name if name != NON_FIELD_ERRORS else self._kind.key[0], message, value)
        planned.fate = Fate.REFUSED if planned.troubles else planned.fate

    def _values(self, row: Row, planned: Planned) -> dict[str, Any]:
        """Give the columns that say something; an empty cell empties what may be empty and else leaves it alone."""
        values: dict[str, Any] = {}
        for name in self._columns:
            cell, column = self._cell(row, name), self._kind.fields[name]
            if cells.text(cell) == "":
                if name in self._kind.key:
                    self._refuse(planned, name, _("This cell tells the rows apart and is empty. Fill it in."))
                elif column.null:
                    values[name] = None
                elif column.blank and not isinstance(column, models.BooleanField):
                    values[name] = ""
                continue
            try:
                values[name] = self._value(name, column, cell)
            except CellRefused as refused:
                self._refuse(planned, name, str(refused), cells.text(cell))
        return values

    def _value(self, name: str, column: models.Field[Any, Any], cell: Cell) -> Any:
        if name in self._kind.links:
            called = cells.text(cell)
            found = self._linked[name].get(called) or self._linked[name].get(called.casefold())
            if found is None:
                raise CellRefused(_("There is none of this name here. Bring it in first, or look at the spelling."))
            return found
        if isinstance(column, models.BooleanField):
            return cells.yes_or_no(cell)
        if isinstance(column, models.DateField):
            return cells.date(cell, self._reading)
        if isinstance(column, models.DecimalField):
            return cells.number(cell, self._reading)
        if isinstance(column, models.IntegerField):
            return cells.whole(cell, self._reading)
        if column.choices:
            return cells.one_of(cell, self._words[name])
        return cells.text(cell)

    def _meet(self, planned: Planned, values: dict[str, Any], stored: models.Model | None) -> None:
        """Lay a row beside the stored one of the same key."""
        if stored is None:
            self._begin(planned, values)
            return
        planned.row = copy.copy(stored)
        planned.row._state = copy.copy(stored._state)
        for name, value in values.items():
            old = getattr(stored, name)
            if old != value:
                planned.was[name], planned.now[name] = _shown(stored, name), ""
                setattr(planned.row, name, value)
                planned.now[name] = _shown(planned.row, name)
        planned.fate = Fate.CHANGED if planned.was else Fate.UNCHANGED

    def _begin(self, planned: Planned, values: dict[str, Any]) -> None:
        for name, source in self._kind.made_from.items():
            if not values.get(name) and values.get(source):
                values[name] = slugify(str(values[source]))
        for name in self._kind.columns:
            if name in self._kind.needed and values.get(name) in (None, ""):
                self._refuse(planned, name, _("Empty, and a new entry needs it. Fill it in."))
        if planned.troubles:
            return
        planned.row = self._kind.model(**values)
        planned.now = {name: _shown(planned.row, name) for name in values}
        planned.fate = Fate.NEW

    def _cell(self, row: Row, name: str) -> Cell:
        index = self._columns[name]
        return row.cells[index] if index < len(row.cells) else None

    def _refuse(self, planned: Planned, name: str, message: str, value: str = "") -> None:
        shown = column_name(self._headings, self._columns[name]) if name in self._columns else name
        planned.troubles.append(Trouble(message, planned.number, shown, value))

    def _key(self, row: models.Model) -> tuple[object, ...]:
        return tuple(getattr(row, name) for name in self._kind.key)

    def _others(self, name: str, called_by: Iterable[str]) -> dict[str, models.Model]:
        """Give the rows that a reference may name; exact spelling goes before capitals read as small letters."""
        others = self._kind.fields[name].related_model._base_manager.all()  # type: ignore[union-attr]
        found: dict[str, models.Model] = {}
        for way in reversed(list(called_by)):
            found |= {str(getattr(other, way)).casefold(): other for other in others}
        for way in reversed(list(called_by)):
            found |= {str(getattr(other, way)): other for other in others}
        return found


def _shown(row: models.Model, name: str) -> str:
    """Give a field's value as a person reads it."""
    column, value = row._meta.get_field(name), getattr(row, name)
    if isinstance(column, models.BooleanField):
        return _("yes") if value else _("no")
    if getattr(column, "choices", None):
        return str(getattr(row, f"get_{name}_display")())
    if isinstance(column, models.DecimalField) and value is not None:
        return f"{value.normalize():f}" if hasattr(value, "normalize") else str(value)
    return "" if value is None else str(value)
