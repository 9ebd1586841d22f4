"""Between rows of the database and the lines of a bundle: one JSON object a row, its columns by name.

Decimals are written as text with their own digits, moments in UTC, references by the other row's key.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.contrib.auth.hashers import make_password
from django.core.exceptions import ValidationError
from django.db import models

from guides.models import User

from . import contents

Line = dict[str, Any]


class BadRow(Exception):
    """A line does not fit its table; the text says which column."""


def read(model: type[models.Model]) -> Iterator[Line]:
    """Give every row of a table as it is written, in the order of their keys."""
    several = contents.lists(model)
    called = [column.name for column in contents.columns(model) if column.related_model in contents.CALLED]
    stored = model._base_manager.order_by("pk").select_related(*called)
    rows = stored.prefetch_related(*(one.name for one in several))
    for row in rows.iterator(chunk_size=500):
        line = {column.name: _plain(row, column) for column in contents.columns(model)}
        for one in several:
            line[one.name] = sorted((_name_of(other) for other in getattr(row, one.name).all()), key=str)
        yield line


class Builder:
    """Makes rows of one model from lines. ``called`` resolves the rows that are named instead of numbered."""

    def __init__(self, model: type[models.Model], called: Mapping[type[models.Model], Mapping[str, Any]]) -> None:
        self._model, self._called = model, called
        self._columns = {column.name: column for column in contents.columns(model)}
        self._lists = {one.name: one for one in contents.lists(model)}

    def row(self, line: Line) -> Any:
        """Make a row, not stored yet. A column that the line lacks takes its usual value.

        Raises:
            BadRow: A column is unknown, or does not hold what stands in the line.
        """
        values: dict[str, Any] = {}
        for name, value in line.items():
            if name in self._lists:
                continue
            if name not in self._columns:
                raise BadRow(f"the column {name} is not known to this version")
            column = self._columns[name]
            values[column.attname] = self._value(column, value)
        if self._model is User:
            values["password"] = make_password(None)
        return self._model(**values)

    def several(self, line: Line) -> Iterator[tuple[models.ManyToManyField, list[Any]]]:
        """Give what the row has several of, as keys.

        Raises:
            BadRow: One is named that is not there.
        """
        for name, one in self._lists.items():
            yield one, [self._key(name, one.related_model, value) for value in line.get(name, [])]

    def _value(self, column: models.Field, value: Any) -> Any:
        if value is None:
            return None
        if column.is_relation:
            return self._key(column.name, column.related_model, value)
        try:
            return column.to_python(value)
        except (ValidationError, ValueError, TypeError) as error:
            raise BadRow(f"the column {column.name} cannot hold {value!r}") from error

    def _key(self, name: str, model: Any, value: Any) -> Any:
        if model not in contents.CALLED:
            return model._meta.pk.to_python(value)
        try:
            return self._called[model][str(value)]
        except KeyError as error:
            raise BadRow(f"the column {name} speaks of {value!r}, which this version does not have") from error


def called() -> dict[type[models.Model], dict[str, Any]]:
    """Give the keys of the rows that are named instead of numbered, as this installation has them."""
    return {
        model: {".".join(map(str, names)): pk for pk, *names in model._base_manager.values_list("pk", *columns)}
        for model, columns in contents.CALLED.items()
    }


def _plain(row: models.Model, column: models.Field) -> Any:
    if column.related_model in contents.CALLED:
        other = getattr(row, column.name)
        return None if other is None else _name_of(other)
    value = getattr(row, column.attname)
    match value:
        case datetime.datetime():
            return value.astimezone(datetime.UTC).isoformat()
        case datetime.date():
            return value.isoformat()
        case Decimal() | UUID():
            return str(value)
        case models.fields.files.FieldFile():
            return value.name or ""
        case _:
            return value


def _name_of(row: models.Model) -> Any:
    if type(row) not in contents.CALLED:
        return row.pk
    parts: list[str] = []
    for path in contents.CALLED[type(row)]:
        value: Any = row
        for step in path.split("__"):
            value = getattr(value, step)
        parts.append(str(value))
    return ".".join(parts)
