"""Every model says whether its rows may change, and the database agrees."""

from __future__ import annotations

import datetime
from typing import Any

import pytest
from django.apps import apps
from django.db import DatabaseError, connection, models, transaction

from guides.models import triggers
from guides.models.base import AppendOnly, Mutability, PartOfVersion
from tests.models.frozen import Frozen, set_down

MODELS = list(apps.get_app_config("guides").get_models())
PERMANENT = [model for model in MODELS if model.mutability is not Mutability.MUTABLE]
# Columns of changeable rows that are on paper, or that what is on paper hangs on.
PRINTED = {
    ("guides_guide", "number"),
    ("guides_lot", "name"),
    ("guides_lot", "coffee_id"),
    ("guides_coffee", "gtin"),
}


@pytest.mark.parametrize("model", MODELS, ids=lambda model: model.__name__)
def test_every_model_declares_itself(model: type[models.Model]) -> None:
    declared = model.mutability  # type: ignore[attr-defined]
    assert isinstance(declared, Mutability)
    assert issubclass(model, AppendOnly) == (declared is Mutability.APPEND_ONLY)
    assert not issubclass(model, PartOfVersion) or declared is Mutability.FREEZES


def test_guards_stand_exactly_where_something_is_permanent() -> None:
    guarded = set(triggers.guarded_tables()) - {table for table, _column in PRINTED}
    assert guarded == {model._meta.db_table for model in PERMANENT}


def other(field: models.Field[Any, Any], value: object) -> object:
    """A value that differs from the one a column holds, good enough to reach the guard."""
    if field.primary_key:
        return value + 1000 if isinstance(value, int) else "11111111"
    if field.name == "state":
        return "draft"
    if value is not None:
        return None
    if isinstance(field, models.DateTimeField):
        return datetime.datetime(2020, 1, 1, tzinfo=datetime.UTC)
    return 1 if not isinstance(field, models.JSONField) else "{}"


@pytest.mark.django_db
@pytest.mark.data
@pytest.mark.parametrize("model", PERMANENT, ids=lambda model: model.__name__)
def test_no_column_of_a_permanent_row_changes(model: type[models.Model]) -> None:
    """A column added tomorrow is tried here by itself."""
    row = _row(set_down(), model)
    may_change = getattr(model, "CHANGES_WHEN_PUBLISHED", frozenset()) - {"state"}
    tried = 0
    for field in model._meta.concrete_fields:
        if field.name in may_change:
            continue
        statement = f'UPDATE "{model._meta.db_table}" SET "{field.column}" = %s WHERE "{model._meta.pk.column}" = %s'  # noqa: S608
        with (
            pytest.raises(DatabaseError, match=triggers.MESSAGE),
            transaction.atomic(),
            connection.cursor() as cursor,
        ):
            cursor.execute(statement, [other(field, getattr(row, field.attname)), row.pk])
        tried += 1
    assert tried


def _row(frozen: Frozen, model: type[models.Model]) -> models.Model:
    return next(row for row in vars(frozen).values() if type(row) is model)
