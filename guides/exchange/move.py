"""A site on SQLite moved to PostgreSQL, every row of it, while customers go on reading.

SQLite is locked against writing from the first row read to the last, and then closed for good by triggers that come in
with the same lock: no question, brew or count can be written to the database that was left. PostgreSQL is filled in one
transaction, which only stands if both hold the same by the hashes of all their tables.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, Final

from django.core.management import call_command
from django.core.management.color import no_style
from django.db import Error, connections, transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.executor import MigrationExecutor
from django.db.models import Model
from django.db.utils import load_backend

from guides.models import in_place, stamp_triggers, triggers

from . import fingerprints

TARGET: Final = "target"
_CLOSED: Final = "moved_"
_CLOSING: Final = "this site has moved to PostgreSQL"
_BATCH: Final = 500


class MoveRefused(Exception):
    """Nothing has changed; the text says why and what to do."""


@dataclass(frozen=True)
class Moved:
    """How many tables and rows came over, all of them equal."""

    tables: int
    rows: int


def move(config: dict[str, Any], say: Callable[[str], None] = lambda _line: None) -> Moved:
    """Copy every row to the PostgreSQL database of a config, compare, and close the SQLite database for writing.

    Raises:
        MoveRefused: This site is not on SQLite, a migration is to come, the target is not PostgreSQL, is not reached
            or is not empty, or holds something else after copying.
    """
    source = connections["default"]
    if source.vendor != "sqlite":
        raise MoveRefused(
            "This site is not on SQLite. Unset DATABASE_URL, or set it to the SQLite file, for this command."
        )
    if _to_come(source):
        raise MoveRefused("This site's tables are not of this version yet. Type: python3 manage.py migrate")
    with _known(config) as target:
        _refuse_filled(target)
        say("Making the tables …")
        call_command("migrate", database=TARGET, interactive=False, verbosity=0, skip_checks=True)
        with transaction.atomic("default"), transaction.atomic(TARGET):
            # The site's writers wait here, up to their patience of 20 s, and are then refused.
            _copy(target, say)
            say("Comparing …")
            before, after = fingerprints.of("default"), fingerprints.of(TARGET)
            if differing := fingerprints.differing(before, after):
                raise MoveRefused(f"What came over is not equal, so nothing was kept: {', '.join(differing)}.")
            in_place.put(source, _CLOSED, _closing_triggers(list(before)))
    return Moved(len(before), sum(table.rows for table in before.values()))


def reopen() -> None:
    """Let the SQLite database be written again, for whoever decides to stay."""
    in_place.remove(connections["default"], _CLOSED)


def _to_come(source: BaseDatabaseWrapper) -> bool:
    executor = MigrationExecutor(source)
    return bool(executor.migration_plan(executor.loader.graph.leaf_nodes()))


@contextmanager
def _known(config: dict[str, Any]) -> Iterator[BaseDatabaseWrapper]:
    """Know the target under its alias for a while."""
    if not config["ENGINE"].endswith("postgresql"):
        raise MoveRefused("The target is not PostgreSQL. Write postgres://user@host:5432/name")
    known = {**connections["default"].settings_dict, "OPTIONS": {}, "TIME_ZONE": None, **config}
    connections[TARGET] = load_backend(config["ENGINE"]).DatabaseWrapper(known, TARGET)
    try:
        connections[TARGET].ensure_connection()
        yield connections[TARGET]
    except Error as error:
        raise MoveRefused(f"PostgreSQL refused, and nothing was kept: {error}".strip()) from error
    finally:
        connections[TARGET].close()
        del connections[TARGET]


def _refuse_filled(target: BaseDatabaseWrapper) -> None:
    if tables := target.introspection.table_names():
        raise MoveRefused(
            f"The target is not empty: it has {len(tables)} tables, such as {min(tables)}. Make a new database for it."
        )


def _copy(target: BaseDatabaseWrapper, say: Callable[[str], None]) -> None:
    triggers.remove(target)
    stamp_triggers.remove(target)
    models = fingerprints.models("default")
    names = ", ".join(f'"{model._meta.db_table}"' for model in models)
    with target.cursor() as cursor:
        # What migrating put there itself: groups and permissions, which come over with their own numbers.
        cursor.execute(f"TRUNCATE {names}")
    for model in models:
        say(f"Copying {model._meta.db_table} …")
        _copy_table(model, target)
    with target.cursor() as cursor:
        for statement in target.ops.sequence_reset_sql(no_style(), models):
            cursor.execute(statement)
    triggers.install(target)
    stamp_triggers.install(target)


def _copy_table(model: type[Model], target: BaseDatabaseWrapper) -> None:
    """Insert rows as they are: saving them through the model would set times and defaults anew."""
    fields = sorted(model._meta.concrete_fields, key=lambda field: field.attname)
    columns, marks = ", ".join(f'"{field.column}"' for field in fields), ", ".join(["%s"] * len(fields))
    statement = f'INSERT INTO "{model._meta.db_table}" ({columns}) VALUES ({marks})'  # noqa: S608 our own models' names
    batch: list[list[Any]] = []
    with target.cursor() as cursor:
        for row in fingerprints.values(model, "default"):
            batch.append([field.get_db_prep_save(value, target) for field, value in zip(fields, row, strict=True)])
            if len(batch) == _BATCH:
                cursor.executemany(statement, batch)
                batch.clear()
        if batch:
            cursor.executemany(statement, batch)


def _closing_triggers(tables: list[str]) -> Iterator[str]:
    for table in tables:
        for event in ("INSERT", "UPDATE", "DELETE"):
            yield (
                f'CREATE TRIGGER "{_CLOSED}{event.lower()}_{table}" BEFORE {event} ON "{table}" '
                f"BEGIN SELECT RAISE(ABORT, '{_CLOSING}'); END"
            )
