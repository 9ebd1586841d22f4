"""Looks over many rows of one table as ``full_clean`` would each, without asking the database the same thing twice.

A condition that one row can break depends on a few of its columns alone; asked once for the values in them, the answer
holds for every row with those values. That is what makes ten thousand lots a matter of seconds.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.db import models

_Messages = dict[str, list[str]]
# What is true of these values stays true: a rule and values → whether the row passes.
_ANSWERS: Final[dict[tuple[object, ...], bool]] = {}
_MOST_ANSWERS: Final = 50_000
_REFERENCES: Final = (models.ForeignKey,)


class RowCheck:
    """Rules of one table for one run over many rows.

    References are believed to lead somewhere: who calls has looked them up. Uniqueness is kept over the rows in the
    database and those that were accepted before, in the order they are given.
    """

    def __init__(self, model: type[models.Model]) -> None:
        self._model = model
        self._references = {found.name for found in model._meta.fields if isinstance(found, _REFERENCES)}
        self._rules = [
            _Rule(model, rule) for rule in model._meta.constraints if isinstance(rule, models.CheckConstraint)
        ]
        self._passed: dict[int, object] = {}
        self._uniques = [unique.fill(model) for unique in self._unique_sets()]

    def errors(self, row: Any) -> _Messages:
        """Give what is wrong with a row, by field; of a rule over several fields under each of them. Empty if fine.

        A row without faults counts as kept from here on.
        """
        found: _Messages = {}
        try:
            row.clean_fields(exclude=self._references)
        except ValidationError as error:
            _add(found, error.message_dict)
        if not found:
            try:
                row.clean()
            except ValidationError as error:
                _add(found, error.message_dict if hasattr(error, "error_dict") else {NON_FIELD_ERRORS: error.messages})
        if not found:
            for rule in self._rules:
                _add(found, rule.broken_by(row))
        if not found:
            _add(found, self._doubled(row))
        if not found:
            for unique in self._uniques:
                unique.keep(row)
            self._passed[id(row)] = row
        return found

    def has_passed(self, row: Any) -> bool:
        """Whether a row was found without faults."""
        return id(row) in self._passed

    def _unique_sets(self) -> Iterator[_Unique]:
        for column in self._model._meta.fields:
            if column.unique and not column.primary_key:
                yield _Unique((column.attname,), (column.name,), str(column.error_messages["unique"]))
        for rule in self._model._meta.constraints:
            if isinstance(rule, models.UniqueConstraint):
                columns = [self._model._meta.get_field(name) for name in rule.fields]
                attributes = tuple(str(column.attname) for column in columns)  # type: ignore[union-attr]
                yield _Unique(attributes, tuple(rule.fields), str(rule.violation_error_message))

    def _doubled(self, row: Any) -> _Messages:
        for unique in self._uniques:
            holder = unique.taken.get(unique.values(row))
            if holder is not None and holder != _who(row):
                words = {"model_name": self._model._meta.verbose_name, "field_label": self._label(unique.names[0])}
                return {name: [unique.message % words] for name in unique.names}
        return {}

    def _label(self, name: str) -> str:
        return str(getattr(self._model._meta.get_field(name), "verbose_name", name))


class _Rule:
    """A condition on one row, and the columns it looks at."""

    def __init__(self, model: type[models.Model], rule: models.CheckConstraint) -> None:
        self._model, self._rule = model, rule
        self._names = sorted(rule.condition.referenced_base_fields)  # type: ignore[union-attr]
        self._attributes = [str(model._meta.get_field(name).attname) for name in self._names]  # type: ignore[union-attr]

    def broken_by(self, row: Any) -> _Messages:
        asked = (self._rule.name, *[str(getattr(row, name)) for name in self._attributes])
        if asked not in _ANSWERS:
            if len(_ANSWERS) >= _MOST_ANSWERS:
                _ANSWERS.clear()
            try:
                self._rule.validate(self._model, row)
                _ANSWERS[asked] = True
            except ValidationError:
                _ANSWERS[asked] = False
        if _ANSWERS[asked]:
            return {}
        return {name: [str(self._rule.get_violation_error_message())] for name in self._names}


class _Unique:
    """Values that stand once in a table, and which row has them."""

    def __init__(self, attributes: tuple[str, ...], names: tuple[str, ...], message: str) -> None:
        self._attributes, self.names, self.message = attributes, names, message
        self.taken: dict[tuple[object, ...], object] = {}
        self._held: dict[object, tuple[object, ...]] = {}

    def values(self, row: Any) -> tuple[object, ...]:
        return tuple(getattr(row, name) for name in self._attributes)

    def fill(self, model: type[models.Model]) -> _Unique:
        for pk, *values in model._base_manager.values_list("pk", *self._attributes):
            self._note(pk, tuple(values))
        return self

    def keep(self, row: Any) -> None:
        who = _who(row)
        if self._held.get(who) in self.taken:
            del self.taken[self._held[who]]  # it gives up what it had
        self._note(who, self.values(row))

    def _note(self, who: object, values: tuple[object, ...]) -> None:
        if not any(value in (None, "") for value in values):
            self.taken[values] = who
            self._held[who] = values


def _who(row: Any) -> object:
    return row.pk or ("new", id(row))


def _add(found: _Messages, more: _Messages) -> None:
    for name, messages in more.items():
        found.setdefault(name, []).extend(message for message in messages if message not in found.get(name, []))
