"""Triggers of one kind, known by how their names begin: put in place, found, and taken off."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.backends.base.base import BaseDatabaseWrapper


def put(connection: BaseDatabaseWrapper, prefix: str, statements: Iterable[str]) -> None:
    """Put every trigger of a kind in place, replacing what is there."""
    remove(connection, prefix)
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)


def remove(connection: BaseDatabaseWrapper, prefix: str) -> None:
    """Take every trigger of a kind off."""
    with connection.cursor() as cursor:
        for name, table in found(connection, prefix):
            on = f' ON "{table}"' if connection.vendor == "postgresql" else ""
            cursor.execute(f'DROP TRIGGER IF EXISTS "{name}"{on}')


def found(connection: BaseDatabaseWrapper, prefix: str) -> list[tuple[str, str]]:
    """Names and tables of the triggers of a kind that the database holds."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                "SELECT t.tgname, c.relname FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid "
                "WHERE starts_with(t.tgname::text, %s) AND pg_table_is_visible(c.oid)",
                [prefix],
            )
        else:
            cursor.execute(
                "SELECT name, tbl_name FROM sqlite_master WHERE type = 'trigger' AND substr(name, 1, %s) = %s",
                [len(prefix), prefix],
            )
        return [(name, table) for name, table in cursor.fetchall()]
