"""Every change that customers' pages may show marks the one row of ``PageStamp``, in the same transaction.

The databases do it, so ``update()``, raw SQL and other processes count as well. The marks come off for migrations and
go back on after, with the guards (``apps.py``). On PostgreSQL they are set when the transaction ends: the one row is
then held for a moment only, and after every other lock, so nobody waits for it in a circle. The marks of single things
(``mark_triggers.py``) come and go with them.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain

from django.apps import apps
from django.db.backends.base.base import BaseDatabaseWrapper

from . import in_place, mark_triggers
from .page_stamp import PageStamp

_PREFIX = "stamp_"
_STAMP = PageStamp._meta.db_table
_EVENTS = ("INSERT", "UPDATE", "DELETE")
_SQLITE_NOW = "strftime('%Y-%m-%d %H:%M:%f', 'now')"


def tables() -> list[str]:
    """Tables whose rows customers' pages may show: all but those that say they are not."""
    models = apps.get_app_config("guides").get_models(include_auto_created=True)
    # A set: a proxy shares its table.
    return sorted(
        {model._meta.db_table for model in models if getattr(model._meta.auto_created or model, "on_pages", True)}
    )


def install(connection: BaseDatabaseWrapper) -> None:
    """Put every mark in place, replacing what is there."""
    own = _postgresql() if connection.vendor == "postgresql" else _sqlite()
    in_place.put(connection, _PREFIX, chain(own, mark_triggers.statements(connection.vendor)))


def remove(connection: BaseDatabaseWrapper) -> None:
    """Take every mark off."""
    in_place.remove(connection, _PREFIX)


def installed(connection: BaseDatabaseWrapper) -> list[tuple[str, str]]:
    """Names and tables of the marks found in the database."""
    return in_place.found(connection, _PREFIX)


def missing(connection: BaseDatabaseWrapper) -> set[str]:
    """Names of the marks that the database should hold and doesn't."""
    return expected_names(connection.vendor) - {name for name, _table in installed(connection)}


def expected_names(vendor: str) -> set[str]:
    """Names of the marks that a database of this vendor must hold."""
    if vendor == "postgresql":
        own = {f"stamp_{table}" for table in tables()}
    else:
        own = {f"stamp_{event.lower()}_{table}" for table in tables() for event in _EVENTS}
    return own | mark_triggers.names(vendor)


def _sqlite() -> Iterator[str]:
    # Two plain statements: an upsert in a trigger would follow the OR IGNORE of the statement that fires it.
    for table in tables():
        for event in _EVENTS:
            yield (
                f'CREATE TRIGGER "stamp_{event.lower()}_{table}" AFTER {event} ON "{table}" BEGIN '
                f'UPDATE "{_STAMP}" SET token = hex(randomblob(16)), changed_at = {_SQLITE_NOW} WHERE id = 1; '
                f'INSERT INTO "{_STAMP}" (id, token, changed_at) SELECT 1, hex(randomblob(16)), {_SQLITE_NOW} '
                f'WHERE NOT EXISTS (SELECT 1 FROM "{_STAMP}" WHERE id = 1); END'
            )


def _postgresql() -> Iterator[str]:
    # The transaction's number is never used twice, and marks a transaction once however many rows it changes.
    yield (
        "CREATE OR REPLACE FUNCTION guides_stamp() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
        f'INSERT INTO "{_STAMP}" AS kept (id, token, changed_at) '
        "VALUES (1, txid_current()::text, clock_timestamp()) ON CONFLICT (id) "
        "DO UPDATE SET token = EXCLUDED.token, changed_at = EXCLUDED.changed_at "
        "WHERE kept.token <> EXCLUDED.token; RETURN NULL; END $$"
    )
    for table in tables():
        yield (
            f'CREATE CONSTRAINT TRIGGER "stamp_{table}" AFTER INSERT OR UPDATE OR DELETE ON "{table}" '
            "DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION guides_stamp()"
        )
