"""Forms whose messages stand at the field they name."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import takewhile
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import BaseConstraint, CheckConstraint, Q, UniqueConstraint

from guides.lifecycle.errors import Refused

from .choosing import Looks


class NamedFieldsForm(Looks, forms.ModelForm):
    """Puts what a constraint has to say beside the field it is about, where it is read and mended.

    So it does with what the lifecycle ``refused`` when this was sent before.
    """

    refused: Refused | None = None

    def _post_clean(self) -> None:
        # Django would say them at the top of the form, and leave out those that speak of a column it does not show.
        setattr(self.instance, "validate_constraints", lambda exclude=None: None)  # noqa: B010
        try:
            super()._post_clean()  # type: ignore[misc]
        finally:
            delattr(self.instance, "validate_constraints")
        self._check_constraints()
        if self.refused is not None:
            self.say(self.refused)

    def say(self, refused: Refused) -> None:
        """Put what was refused at the field it is about, or above the form."""
        for refusal in refused.refusals:
            self.add_error(refusal.field if refusal.field in self.fields else None, str(refusal))

    def _check_constraints(self) -> None:
        failed = set(self.errors)
        for model, constraints in self.instance.get_constraints():
            for constraint in constraints:
                try:
                    constraint.validate(model, self.instance, exclude=failed)
                except ValidationError as error:
                    self.add_error(self._field_of(constraint, error), ValidationError(error.messages))

    def _field_of(self, constraint: BaseConstraint, error: ValidationError) -> str | None:
        """The field whose label the message begins with, as far as the two agree; else the last one it speaks of."""
        message = " ".join(error.messages)
        fields = [name for name in _columns(constraint) if name in self.fields]
        return max(reversed(fields), key=lambda name: self._agreement(name, message), default=None)

    def _agreement(self, name: str, message: str) -> int:
        pairs = zip(str(self.fields[name].label).lower(), message.lower(), strict=False)
        return sum(1 for _pair in takewhile(lambda pair: pair[0] == pair[1], pairs))


def put_back(form: forms.BaseForm, name: str, value: object) -> None:
    """Change what a posted form holds in a field when its page comes back."""
    data: Any = form.data.copy()  # type: ignore[attr-defined]
    data[form.add_prefix(name)] = str(value)
    form.data = data


def _columns(constraint: BaseConstraint) -> Iterator[str]:
    if isinstance(constraint, UniqueConstraint):
        yield from constraint.fields
    elif isinstance(constraint, CheckConstraint):
        yield from _leaves(constraint.condition)


def _leaves(condition: object) -> Iterator[str]:
    for child in condition.children if isinstance(condition, Q) else ():
        if isinstance(child, Q):
            yield from _leaves(child)
        elif isinstance(child, tuple):
            yield child[0].partition("__")[0]
