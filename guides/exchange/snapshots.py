"""The whole database at one moment, taken while others write, and put back.

A copy of the database's file is no snapshot: it can hold half of a change that is being written. The database itself
is asked for one.
"""

from __future__ import annotations

import os
import sqlite3
import subprocess
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any, Final

from django.db import connections, transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.backends.postgresql.client import DatabaseClient

MOMENT: Final = "moment"
"""Alias of the connection that sees the database as it was when the snapshot was taken."""

Tick = Callable[[], None]
_TICK_S = 5.0


class SnapshotFailed(Exception):
    """The database's own tool is missing or refused; the text is its own."""


@contextmanager
def taken(file: Path, tick: Tick = lambda: None) -> Iterator[str]:
    """Write the database's present, committed state to a file that is not there yet; yield an alias to read it by.

    Args:
        file: where.
        tick: called every few seconds while PostgreSQL's tool works.

    Raises:
        SnapshotFailed: PostgreSQL's ``pg_dump`` is missing or failed.
    """
    live = connections["default"]
    if live.vendor == "postgresql":
        with beside(MOMENT, {}), transaction.atomic(using=MOMENT):
            shared = _ask(MOMENT, "SET TRANSACTION ISOLATION LEVEL REPEATABLE READ", "SELECT pg_export_snapshot()")
            options = ("--format=custom", "--no-owner", "--no-privileges", f"--file={file}", f"--snapshot={shared}")
            _postgres(live, "pg_dump", *options, tick=tick)
            yield MOMENT
        return
    with live.cursor() as cursor:
        cursor.execute("VACUUM INTO %s", [str(file)])
    with beside(MOMENT, {"NAME": file, "OPTIONS": {}}):
        yield MOMENT


def put_back(file: Path, alias: str = "default") -> None:
    """Replace a database's content by a snapshot, wholly or not at all.

    Raises:
        SnapshotFailed: PostgreSQL's ``pg_restore`` is missing or failed.
    """
    connection = connections[alias]
    if connection.vendor == "postgresql":
        connection.close()
        options = ("--clean", "--if-exists", "--no-owner", "--no-privileges", "--single-transaction", "--exit-on-error")
        _postgres(connection, "pg_restore", *options, last=str(file))
        return
    connection.ensure_connection()
    with closing(sqlite3.connect(f"{file.resolve().as_uri()}?mode=ro", uri=True)) as snapshot:
        snapshot.backup(connection.connection)
    connection.close()


@contextmanager
def beside(alias: str, differing: dict[str, Any]) -> Iterator[BaseDatabaseWrapper]:
    """Know a second database, or the same one a second time, under an alias for a while.

    Args:
        alias: what to call it.
        differing: what its settings have other than the site's database.
    """
    live = connections["default"]
    connections[alias] = type(live)({**live.copy().settings_dict, **differing}, alias)
    try:
        yield connections[alias]
    finally:
        connections[alias].close()
        del connections[alias]


def _ask(alias: str, *statements: str) -> str:
    with connections[alias].cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)
        return str(cursor.fetchone()[0])


def _postgres(
    connection: BaseDatabaseWrapper, program: str, *options: str, last: str = "", tick: Tick = lambda: None
) -> None:
    shell, extra = DatabaseClient.settings_to_cmd_args_env(connection.settings_dict, [])
    *where, database = shell[1:]
    command = [program, *where, f"--dbname={database}", *options, *([last] if last else [])]
    try:
        running = subprocess.Popen(command, env=os.environ | (extra or {}), stderr=subprocess.PIPE, text=True)  # noqa: S603
    except FileNotFoundError as error:
        raise SnapshotFailed(
            f"{program} is not installed. On Debian and Ubuntu: apt-get install --yes postgresql-client"
        ) from error
    with running:
        said = _wait(running, tick)
    if running.returncode:
        raise SnapshotFailed(f"{program}: {said.strip()}")


def _wait(running: subprocess.Popen[str], tick: Tick) -> str:
    """Let a program end, and give what it said against itself."""
    while True:
        try:
            return running.communicate(timeout=_TICK_S)[1]
        except subprocess.TimeoutExpired:
            try:
                tick()
            except BaseException:
                running.kill()
                raise
