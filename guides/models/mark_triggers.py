"""Notes when each thing that shops read last changed (``ChangeMark``), in the transaction that changes it.

The databases do it, so ``update()``, raw SQL and other processes count as well. What belongs to a coffee marks the
coffee's whole range too, from which it may have gone. ``stamp_triggers.py`` puts these in place with its own. On
PostgreSQL they too come at the end of a transaction, and behind the row of the stamp: so transactions come one after
the other, and none waits for another in a circle.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import Model

from guides.choices import FROZEN_STATES

from .address import Address
from .assignment import Assignment
from .brewer import Brewer
from .change_mark import About, ChangeMark
from .coffee import Coffee
from .coffee_picture import CoffeePicture
from .guide import Guide
from .guide_version import GuideVersion
from .lot import Lot
from .page_stamp import PageStamp
from .roastery import Roastery
from .trial_brew import TrialBrew
from .webhook import Webhook

_MARK: Final = ChangeMark._meta.db_table
_STAMP: Final = PageStamp._meta.db_table
_SQLITE_NOW: Final = "strftime('%Y-%m-%d %H:%M:%f', 'now')"
_COFFEE_OF_LOT: Final = f'(SELECT coffee_id FROM "{Lot._meta.db_table}" WHERE id = ROW.lot_id)'
_COFFEE_OF_GUIDE: Final = f'(SELECT coffee_id FROM "{Guide._meta.db_table}" WHERE id = ROW.guide_id)'
_FROZEN: Final = ", ".join(f"'{state.value}'" for state in FROZEN_STATES)
_PUBLISHED: Final = f"ROW.state IN ({_FROZEN})"


@dataclass(frozen=True)
class Marked:
    """What a row of a table marks: for each thing the SQL of its key. ROW stands for the row, old or new."""

    model: type[Model]
    keys: dict[About, str]
    where: str = "TRUE"

    @property
    def table(self) -> str:
        return str(self.model._meta.db_table)


MARKED: Final = (
    Marked(Roastery, {About.HOUSE: "0"}),
    Marked(Brewer, {About.BREWER: "ROW.id"}),
    Marked(Coffee, {About.COFFEE: "ROW.id", About.RANGE: "ROW.id"}),
    Marked(CoffeePicture, {About.COFFEE: "ROW.coffee_id", About.RANGE: "ROW.coffee_id"}),
    Marked(Lot, {About.LOT: "ROW.id", About.RANGE: "ROW.coffee_id"}),
    Marked(Assignment, {About.LOT: "ROW.lot_id", About.RANGE: _COFFEE_OF_LOT}),
    Marked(Address, {About.LOT: "ROW.lot_id", About.RANGE: _COFFEE_OF_LOT}),
    Marked(Guide, {About.GUIDE: "ROW.id", About.RANGE: "ROW.coffee_id"}),
    Marked(
        GuideVersion,
        {About.VERSION: "ROW.id", About.GUIDE: "ROW.guide_id", About.RANGE: _COFFEE_OF_GUIDE},
        where=_PUBLISHED,
    ),
    Marked(TrialBrew, {About.BREWS: _COFFEE_OF_LOT}),
    Marked(Webhook, {About.WEBHOOK: "ROW.id"}),
)

_ROWS: Final = {"INSERT": ("NEW",), "UPDATE": ("OLD", "NEW"), "DELETE": ("OLD",)}


def names(vendor: str) -> set[str]:
    """Names of the triggers that a database of this vendor must hold."""
    if vendor == "postgresql":
        return {f"stamp_things_{marked.table}" for marked in MARKED}
    return {f"stamp_things_{event.lower()}_{marked.table}" for marked in MARKED for event in _ROWS}


def statements(vendor: str) -> Iterator[str]:
    """The SQL that puts them in place, and marks what has none yet."""
    yield from _postgresql() if vendor == "postgresql" else _sqlite()
    now = "clock_timestamp()" if vendor == "postgresql" else _SQLITE_NOW
    for marked in MARKED:
        for about, key in marked.keys.items():
            found = f'SELECT DISTINCT {_of(key, "r")} AS key FROM "{marked.table}" r WHERE {_of(marked.where, "r")}'
            yield (
                f"INSERT INTO \"{_MARK}\" (about, key, at) SELECT '{about}', found.key, {now} FROM ({found}) found "
                f"WHERE found.key IS NOT NULL AND NOT EXISTS (SELECT 1 FROM \"{_MARK}\" m WHERE m.about = '{about}' "
                "AND m.key = found.key)"
            )


def mark_all(connection: BaseDatabaseWrapper) -> None:
    """Say that everything changed now: after a restore a site may hold what it held long ago."""
    now = "clock_timestamp()" if connection.vendor == "postgresql" else _SQLITE_NOW
    with connection.cursor() as cursor:
        cursor.execute(f'UPDATE "{_MARK}" SET at = {now}')


def _of(sql: str, row: str) -> str:
    return sql.replace("ROW.", f"{row}.")


def _sqlite() -> Iterator[str]:
    # Two plain statements: an upsert in a trigger would follow the OR IGNORE of the statement that fires it.
    for marked in MARKED:
        for event, rows in _ROWS.items():
            body = "".join(
                _mark_on_sqlite(about, _of(key, row), _of(marked.where, row))
                for about, key in marked.keys.items()
                for row in rows
            )
            yield (
                f'CREATE TRIGGER "stamp_things_{event.lower()}_{marked.table}" AFTER {event} ON "{marked.table}" '
                f"BEGIN {body}END"
            )


def _mark_on_sqlite(about: About, key: str, where: str) -> str:
    return (
        f"UPDATE \"{_MARK}\" SET at = {_SQLITE_NOW} WHERE about = '{about}' AND key = {key} AND {where}; "
        f"INSERT INTO \"{_MARK}\" (about, key, at) SELECT '{about}', {key}, {_SQLITE_NOW} WHERE {where} "
        f"AND {key} IS NOT NULL AND NOT EXISTS (SELECT 1 FROM \"{_MARK}\" WHERE about = '{about}' AND key = {key}); "
    )


def _postgresql() -> Iterator[str]:
    # A row that this very transaction has marked is left alone, however many rows it changes.
    yield (
        "CREATE OR REPLACE FUNCTION guides_mark(what text, which bigint) RETURNS void LANGUAGE plpgsql AS $$ BEGIN "
        "IF which IS NULL THEN RETURN; END IF; "
        f'INSERT INTO "{_MARK}" AS kept (about, key, at) VALUES (what, which, clock_timestamp()) '
        "ON CONFLICT (about, key) DO UPDATE SET at = EXCLUDED.at "
        "WHERE kept.xmin::text <> (txid_current() & 4294967295)::text; END $$"
    )
    for marked in MARKED:
        yield (
            f"CREATE OR REPLACE FUNCTION guides_mark_{marked.table}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
            f'PERFORM 1 FROM "{_STAMP}" WHERE id = 1 FOR UPDATE; '
            f"IF TG_OP <> 'INSERT' THEN {_marks(marked, 'OLD')} END IF; "
            f"IF TG_OP <> 'DELETE' THEN {_marks(marked, 'NEW')} END IF; RETURN NULL; END $$"
        )
        yield (
            f'CREATE CONSTRAINT TRIGGER "stamp_things_{marked.table}" AFTER INSERT OR UPDATE OR DELETE '
            f'ON "{marked.table}" DEFERRABLE INITIALLY DEFERRED FOR EACH ROW '
            f"EXECUTE FUNCTION guides_mark_{marked.table}()"
        )


def _marks(marked: Marked, row: str) -> str:
    calls = "".join(f"PERFORM guides_mark('{about}', {_of(key, row)}); " for about, key in marked.keys.items())
    return f"IF {_of(marked.where, row)} THEN {calls}END IF;"
