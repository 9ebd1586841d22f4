"""The whole database at one moment, taken while others write, and put back.

A copy of the database's file is no snapshot: it can hold half of a change that is being written. The database itself
is asked for one.
"""

from __future__ import annotations

import os
import sqlite3
import subprocess
from contextlib import closing
from pathlib import Path

from django.db import connection
from django.db.backends.postgresql.client import DatabaseClient


class SnapshotFailed(Exception):
    """The database's own tool is missing or refused; the text is its own."""


def take(file: Path) -> None:
    """Write the database's present, committed state to a file that is not there yet.

    Raises:
        SnapshotFailed: PostgreSQL's ``pg_dump`` is missing or failed.
    """
    if connection.vendor == "postgresql":
        _postgres("pg_dump", "--format=custom", "--no-owner", "--no-privileges", f"--file={file}")
        return
    with connection.cursor() as cursor:
        cursor.execute("VACUUM INTO %s", [str(file)])


def put_back(file: Path) -> None:
    """Replace the database's content by a snapshot, wholly or not at all.

    Raises:
        SnapshotFailed: PostgreSQL's ``pg_restore`` is missing or failed.
    """
    if connection.vendor == "postgresql":
        connection.close()
        options = ("--clean", "--if-exists", "--no-owner", "--no-privileges", "--single-transaction", "--exit-on-error")
        _postgres("pg_restore", *options, last=str(file))
        return
    connection.ensure_connection()
    with closing(sqlite3.connect(f"{file.resolve().as_uri()}?mode=ro", uri=True)) as snapshot:
        snapshot.backup(connection.connection)
    connection.close()


def _postgres(program: str, *options: str, last: str = "") -> None:
    shell, extra = DatabaseClient.settings_to_cmd_args_env(connection.settings_dict, [])
    *where, database = shell[1:]
    command = [program, *where, f"--dbname={database}", *options, *([last] if last else [])]
    try:
        subprocess.run(command, env=os.environ | (extra or {}), check=True, capture_output=True, text=True)  # noqa: S603
    except FileNotFoundError as error:
        raise SnapshotFailed(
            f"{program} is not installed. On Debian and Ubuntu: apt-get install --yes postgresql-client"
        ) from error
    except subprocess.CalledProcessError as error:
        raise SnapshotFailed(f"{program}: {error.stderr.strip()}") from error
