"""Every table of the site either goes into a bundle or says why it stays."""

from __future__ import annotations

import pytest
from django.apps import apps
from django.db import models

from guides.exchange.bundle import contents, schema
from guides.models.base import Passing


def test_every_model_is_decided_about() -> None:
    assert contents.unstated() == [], (
        "Name them in GOES or, with a reason, in STAYS of guides/exchange/bundle/contents.py"
    )


def test_nothing_is_decided_twice_or_for_nothing() -> None:
    known = {model._meta.label for model in apps.get_models()}
    assert set(contents.GOES) <= known
    assert set(contents.STAYS) <= known
    assert not set(contents.GOES) & set(contents.STAYS)
    assert all(contents.STAYS.values())
    assert [label for label in contents.GOES if issubclass(apps.get_model(label), Passing)] == []


@pytest.mark.parametrize("label", contents.COLUMNS_STAY)
def test_columns_that_stay_exist_and_say_why(label: str) -> None:
    for name, reason in contents.COLUMNS_STAY[label].items():
        apps.get_model(label)._meta.get_field(name)
        assert reason


def test_nothing_that_goes_refers_to_what_stays() -> None:
    goes = {apps.get_model(label) for label in contents.GOES} | set(contents.CALLED)
    for model in contents.tables():
        for column in [*contents.columns(model), *contents.lists(model)]:
            assert not column.is_relation or column.related_model in goes, f"{model.__name__}.{column.name}"


def test_no_secret_goes() -> None:
    """A column whose name or kind says secret is named as staying, or its table stays."""
    words = ("password", "secret", "token", "key_hash", "session")
    found = [
        f"{model.__name__}.{column.name}"
        for model in contents.tables()
        for column in contents.columns(model)
        if any(word in column.name for word in words) or isinstance(column, models.BinaryField)
    ]
    assert found == []


def test_the_description_names_every_column() -> None:
    described = schema.describe()
    for model in contents.tables():
        table = described[model._meta.label]
        assert set(table["columns"]) == {one.name for one in [*contents.columns(model), *contents.lists(model)]}
        assert all(told["type"] for told in table["columns"].values())
