"""Migrations take the guards off and put them back; where there is nothing to migrate they stay on."""

from __future__ import annotations

import pytest
from django.core.management import call_command
from django.core.management.sql import emit_pre_migrate_signal
from django.db import connection, models
from django.db.migrations import Migration

from guides.models import Step, triggers

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.data]


def missing() -> set[str]:
    return triggers.expected_names(connection.vendor) - {name for name, _table in triggers.installed(connection)}


def why_of(length: int) -> models.CharField[str, str]:
    field: models.CharField[str, str] = models.CharField(max_length=length, blank=True)
    field.set_attributes_from_name("why")
    field.model = Step
    return field


def remake(longer: int) -> None:
    """What a migration does that changes a column; SQLite makes the whole table anew for it."""
    with connection.schema_editor() as editor:
        editor.alter_field(Step, why_of(300), why_of(longer))


def test_with_nothing_to_migrate_they_stay() -> None:
    emit_pre_migrate_signal(verbosity=0, interactive=False, db="default", plan=[])
    assert missing() == set()


def test_a_table_made_anew_is_guarded_again() -> None:
    emit_pre_migrate_signal(verbosity=0, interactive=False, db="default", plan=[(Migration("0002", "guides"), False)])
    assert missing() == triggers.expected_names(connection.vendor)
    remake(longer=301)
    call_command("migrate", skip_checks=True, verbosity=0)
    assert missing() == set()


def test_sqlite_drops_them_without_a_word() -> None:
    """Why they are put back: the negative control, by hand and without the signals."""
    if connection.vendor == "postgresql":
        remake(longer=302)
        assert missing() == set()
        return
    triggers.remove(connection)
    [step_update] = [trigger for trigger in triggers.all_triggers() if trigger.name == "step_update"]
    with connection.cursor() as cursor:
        cursor.execute(f'CREATE TRIGGER "guard_step_update" BEFORE UPDATE ON "{step_update.table}" BEGIN SELECT 1; END')
    remake(longer=302)
    assert triggers.installed(connection) == []
    triggers.install(connection)
    assert missing() == set()
