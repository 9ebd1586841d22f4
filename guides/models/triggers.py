"""The third guard: the databases themselves refuse to change what is published or permanent.

``update()``, ``bulk_update()``, ``INSERT OR REPLACE`` and raw SQL all end here. The SQL is made from the models, so a
new column is frozen unless ``GuideVersion.CHANGES_WHEN_PUBLISHED`` names it. Django remakes SQLite tables, and with
them drops triggers without a word; therefore they are taken off before migrations and put back after (``apps.py``),
and a system check counts them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django.db.backends.base.base import BaseDatabaseWrapper

from guides.choices import FROZEN_STATES, State

from . import in_place
from .address import Address
from .coffee import Coffee
from .dispatch import Dispatch
from .event import Event
from .guide import Guide
from .guide_version import GuideVersion
from .lot import Lot
from .lot_check import LotCheck
from .review_comment import ReviewComment
from .sign_off import SignOff
from .step import Step
from .step_media import StepClip, StepPicture
from .translation import StepText, VersionText
from .version_editor import VersionEditor

MESSAGE = "guides: this row is published or permanent"
_PREFIX = "guard_"
_VERSION = GuideVersion._meta.db_table
_GUIDE = Guide._meta.db_table
_STEP = Step._meta.db_table
_ADDRESS = Address._meta.db_table
_COFFEE = Coffee._meta.db_table
_LOT = Lot._meta.db_table
_BY_STEP = f'(SELECT s.version_id FROM "{_STEP}" s WHERE s.id = ROW.step_id)'
_FROZEN = ", ".join(f"'{state.value}'" for state in FROZEN_STATES)


@dataclass(frozen=True)
class Trigger:
    """One guard: ``event`` on ``table`` is refused where ``condition`` holds (in terms of OLD and NEW).

    ``on_sqlite`` is a further reason there, where REPLACE also goes by the hidden row number.
    """

    name: str
    table: str
    event: str
    condition: str
    on_sqlite: str = "FALSE"


def _differs(columns: list[str]) -> str:
    return " OR ".join(f'NEW."{column}" IS DISTINCT FROM OLD."{column}"' for column in columns)


def _version_triggers() -> Iterator[Trigger]:
    may_change = GuideVersion.CHANGES_WHEN_PUBLISHED
    fields = GuideVersion._meta.concrete_fields
    frozen = [str(field.column) for field in fields if field.name not in may_change]
    withdrawing = [str(field.column) for field in fields if field.name in may_change]
    yield Trigger(
        "version_update",
        _VERSION,
        "UPDATE",
        f"OLD.state IN ({_FROZEN}) AND ({_differs(frozen)} OR ({_differs(withdrawing)})"
        f" AND NOT (OLD.state = '{State.PUBLISHED}' AND NEW.state = '{State.WITHDRAWN}'))",
    )
    yield Trigger("version_delete", _VERSION, "DELETE", f"OLD.state IN ({_FROZEN})")
    # REPLACE deletes the colliding row without firing its delete trigger.
    yield Trigger(
        "version_insert",
        _VERSION,
        "INSERT",
        f'EXISTS (SELECT 1 FROM "{_VERSION}" f WHERE f.state IN ({_FROZEN}) AND '
        "(f.id = NEW.id OR f.guide_id = NEW.guide_id AND f.revision = NEW.revision))",
    )
    yield Trigger(
        "version_update_collision",
        _VERSION,
        "UPDATE",
        f'EXISTS (SELECT 1 FROM "{_VERSION}" f WHERE f.id <> OLD.id AND f.state IN ({_FROZEN}) AND '
        "(f.id = NEW.id OR f.guide_id = NEW.guide_id AND f.revision = NEW.revision))",
    )


def _guide_triggers() -> Iterator[Trigger]:
    printed = f'EXISTS (SELECT 1 FROM "{_VERSION}" f WHERE f.guide_id = OLD.id AND f.state IN ({_FROZEN}))'
    yield Trigger("guide_update", _GUIDE, "UPDATE", f"({_differs(['id', 'number'])}) AND {printed}")


def _lot_triggers() -> Iterator[Trigger]:
    """A code leads to a lot of that name and coffee; where two coffees become one, its lots go along."""

    def coded(row: str) -> str:
        return f'EXISTS (SELECT 1 FROM "{_ADDRESS}" a WHERE a.lot_id = {row}.id)'

    merged = f'EXISTS (SELECT 1 FROM "{_COFFEE}" c WHERE c.id = OLD.coffee_id AND c.merged_into_id = NEW.coffee_id)'
    other = f'EXISTS (SELECT 1 FROM "{_LOT}" f WHERE (f.id = NEW.id OR f.name = NEW.name) AND {coded("f")}'
    yield Trigger(
        "lot_update",
        _LOT,
        "UPDATE",
        f"{coded('OLD')} AND ({_differs(['id', 'name'])} OR {_differs(['coffee_id'])} AND NOT {merged})",
    )
    yield Trigger("lot_insert", _LOT, "INSERT", f"{other})")
    yield Trigger("lot_update_collision", _LOT, "UPDATE", f"{other} AND f.id <> OLD.id)")


def _coffee_triggers() -> Iterator[Trigger]:
    """A GTIN in printed links stays with its lots; what is left of a coffee that became part of another stays whole."""
    columns = [str(field.column) for field in Coffee._meta.concrete_fields]
    lots = f'SELECT 1 FROM "{_LOT}" l JOIN "{_ADDRESS}" a ON a.lot_id = l.id WHERE l.coffee_id = OLD.id'
    # At the moment of merging it may hand its GTIN on.
    linked = f"OLD.gtin <> '' AND (NEW.merged_into_id IS NULL OR NEW.gtin <> '') AND EXISTS ({lots})"
    alike = " OR ".join(f'f."{column}" = NEW."{column}"' for column in ("id", "name", "code", "slug"))
    alike += " OR f.gtin <> '' AND f.gtin = NEW.gtin"
    left = f'EXISTS (SELECT 1 FROM "{_COFFEE}" f WHERE f.merged_into_id IS NOT NULL AND ({alike})'
    yield Trigger(
        "coffee_update",
        _COFFEE,
        "UPDATE",
        f"OLD.merged_into_id IS NOT NULL AND ({_differs(columns)}) OR {linked} AND ({_differs(['gtin'])})",
    )
    yield Trigger("coffee_delete", _COFFEE, "DELETE", "OLD.merged_into_id IS NOT NULL")
    yield Trigger("coffee_insert", _COFFEE, "INSERT", f"{left})")
    yield Trigger("coffee_update_collision", _COFFEE, "UPDATE", f"{left} AND f.id <> OLD.id)")


def _part_triggers(table: str, name: str, owner: str) -> Iterator[Trigger]:
    """Guards of a table whose rows freeze with a version; ``owner`` finds it, with ROW for OLD or NEW."""

    def frozen(row: str) -> str:
        return (
            f'EXISTS (SELECT 1 FROM "{_VERSION}" f WHERE f.state IN ({_FROZEN}) AND f.id = {owner.replace("ROW", row)})'
        )

    same_key = f'EXISTS (SELECT 1 FROM "{table}" p WHERE p.id = NEW.id AND {frozen("p")})'
    yield Trigger(f"{name}_insert", table, "INSERT", f"{frozen('NEW')} OR {same_key}")
    yield Trigger(f"{name}_update", table, "UPDATE", f"{frozen('OLD')} OR {frozen('NEW')} OR {same_key}")
    yield Trigger(f"{name}_delete", table, "DELETE", frozen("OLD"))


def _permanent_triggers(table: str, name: str, key: str) -> Iterator[Trigger]:
    taken = f'EXISTS (SELECT 1 FROM "{table}" f WHERE '
    yield Trigger(f"{name}_insert", table, "INSERT", f'{taken}f."{key}" = NEW."{key}")', f"{taken}f.rowid = NEW.rowid)")
    yield Trigger(f"{name}_update", table, "UPDATE", "TRUE")
    yield Trigger(f"{name}_delete", table, "DELETE", "TRUE")


def all_triggers() -> list[Trigger]:
    """Every row guard, in the order they are made."""
    return [
        *_coffee_triggers(),
        *_lot_triggers(),
        *_guide_triggers(),
        *_version_triggers(),
        *_part_triggers(_STEP, "step", "ROW.version_id"),
        *_part_triggers(VersionText._meta.db_table, "version_text", "ROW.version_id"),
        *_part_triggers(StepText._meta.db_table, "step_text", _BY_STEP),
        *_part_triggers(StepPicture._meta.db_table, "step_picture", _BY_STEP),
        *_part_triggers(StepClip._meta.db_table, "step_clip", _BY_STEP),
        *_part_triggers(VersionEditor._meta.db_table, "version_editor", "ROW.version_id"),
        *_part_triggers(ReviewComment._meta.db_table, "review_comment", "ROW.version_id"),
        *_permanent_triggers(Address._meta.db_table, "address", "code"),
        *_permanent_triggers(Event._meta.db_table, "event", "id"),
        *_permanent_triggers(SignOff._meta.db_table, "sign_off", "id"),
        *_permanent_triggers(LotCheck._meta.db_table, "lot_check", "id"),
        *_permanent_triggers(Dispatch._meta.db_table, "dispatch", "id"),
    ]


def guarded_tables() -> list[str]:
    """Tables that must also refuse TRUNCATE."""
    return sorted({trigger.table for trigger in all_triggers()})


def install(connection: BaseDatabaseWrapper) -> None:
    """Put every guard in place, replacing what is there."""
    in_place.put(connection, _PREFIX, _postgresql() if connection.vendor == "postgresql" else _sqlite())


def remove(connection: BaseDatabaseWrapper) -> None:
    """Take every guard off, for migrations and for emptying a test database."""
    in_place.remove(connection, _PREFIX)


def installed(connection: BaseDatabaseWrapper) -> list[tuple[str, str]]:
    """Names and tables of the guards found in the database."""
    return in_place.found(connection, _PREFIX)


def missing(connection: BaseDatabaseWrapper) -> set[str]:
    """Names of the guards that the database should hold and doesn't."""
    return expected_names(connection.vendor) - {name for name, _table in installed(connection)}


def expected_names(vendor: str) -> set[str]:
    """Names of the guards that a database of this vendor must hold."""
    names = {f"guard_{trigger.name}" for trigger in all_triggers()}
    if vendor == "postgresql":
        names |= {f"guard_truncate_{table}" for table in guarded_tables()}
    return names


def _sqlite() -> Iterator[str]:
    for trigger in all_triggers():
        # The standard's words for "differs, NULL or not" are younger in SQLite than the versions Django runs on.
        condition = trigger.condition.replace("IS DISTINCT FROM", "IS NOT")
        yield (
            f'CREATE TRIGGER "guard_{trigger.name}" BEFORE {trigger.event} ON "{trigger.table}" FOR EACH ROW '
            f"WHEN {condition} OR {trigger.on_sqlite} BEGIN SELECT RAISE(ABORT, '{MESSAGE}'); END"
        )


def _postgresql() -> Iterator[str]:
    yield (
        "CREATE OR REPLACE FUNCTION guides_refuse() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN RAISE EXCEPTION '{MESSAGE}' USING ERRCODE = 'integrity_constraint_violation'; END $$"
    )
    for trigger in all_triggers():
        # A function of its own keeps the columns out of the trigger, so that migrations may drop them.
        result = "OLD" if trigger.event == "DELETE" else "NEW"
        yield (
            f"CREATE OR REPLACE FUNCTION guides_guard_{trigger.name}() RETURNS trigger LANGUAGE plpgsql AS "
            f"$$ BEGIN IF {trigger.condition} THEN RAISE EXCEPTION '{MESSAGE}' "
            f"USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN {result}; END $$"
        )
        yield (
            f'CREATE TRIGGER "guard_{trigger.name}" BEFORE {trigger.event} ON "{trigger.table}" '
            f"FOR EACH ROW EXECUTE FUNCTION guides_guard_{trigger.name}()"
        )
    for table in guarded_tables():
        yield (
            f'CREATE TRIGGER "guard_truncate_{table}" BEFORE TRUNCATE ON "{table}" '
            "FOR EACH STATEMENT EXECUTE FUNCTION guides_refuse()"
        )
