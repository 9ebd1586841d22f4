"""What the tables of a database hold, told in a hash each: equal for equal rows, on SQLite and on PostgreSQL.

Rows are read as the models of that database's own state, so that a backup of an older version has hashes too.
"""

from __future__ import annotations

import datetime
import hashlib
import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import connections
from django.db.migrations.loader import MigrationLoader
from django.db.models import Model

_CHUNK = 2000


@dataclass(frozen=True)
class Fingerprint:
    """Number of rows and the SHA-256 over all of them in hexadecimal, whatever their order."""

    rows: int
    sha256: str


def of(alias: str, tick: Callable[[], None] = lambda: None) -> dict[str, Fingerprint]:
    """Give the fingerprint of every table that the applied migrations have made; ``tick`` is called before each."""
    found = {}
    for model in models(alias):
        tick()
        found[model._meta.db_table] = of_rows(values(model, alias))
    return found


def models(alias: str) -> list[type[Model]]:
    """Give the models as the applied migrations of a database left them."""
    loader = MigrationLoader(connections[alias])
    applied = [key for key in loader.applied_migrations if key in loader.graph.nodes]
    found: list[type[Model]] = loader.project_state(applied).apps.get_models(include_auto_created=True)
    return sorted(found, key=lambda model: model._meta.db_table)


def values(model: type[Model], alias: str) -> Iterator[tuple[Any, ...]]:
    """Give every row of a model, its columns in the order of their names."""
    columns = sorted(field.attname for field in model._meta.concrete_fields)
    rows = model._base_manager.using(alias).order_by().values_list(*columns)
    return rows.iterator(chunk_size=_CHUNK)


def of_rows(rows: Iterator[tuple[Any, ...]]) -> Fingerprint:
    """Hash rows, each for itself, and then their hashes in order."""
    digests = sorted(hashlib.sha256(_canonical(row)).digest() for row in rows)
    return Fingerprint(len(digests), hashlib.sha256(b"".join(digests)).hexdigest())


def differing(one: Mapping[str, Fingerprint], other: Mapping[str, Fingerprint]) -> list[str]:
    """Name what two databases differ in, with the numbers of rows."""
    nothing = Fingerprint(0, "")
    pairs = {table: (one.get(table, nothing), other.get(table, nothing)) for table in sorted({*one, *other})}
    return [
        f"{table} ({first.rows} rows and {second.rows})" for table, (first, second) in pairs.items() if first != second
    ]


def _canonical(row: tuple[Any, ...]) -> bytes:
    return json.dumps(row, default=_plain, sort_keys=True, ensure_ascii=False, separators=(",", ":")).encode()


def _plain(value: Any) -> str:
    match value:
        case datetime.datetime():
            return value.astimezone(datetime.UTC).isoformat(timespec="microseconds")
        case datetime.date() | datetime.time():
            return value.isoformat()
        case Decimal():  # 0.50 and 0.5 are one number
            return format(value.normalize(), "f")
        case UUID():
            return value.hex
        case bytes() | memoryview():
            return bytes(value).hex()
        case _:
            return str(value)
