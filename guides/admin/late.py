"""What somebody typed into a draft that was submitted or published under their hands: shown back, nothing lost."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from django.db.models import Model
from django.http import QueryDict
from django.utils.translation import gettext as _

_ROW = re.compile(r"(?P<prefix>[a-z_]+)-(?P<index>\d+)-(?P<name>\w+)")


@dataclass(frozen=True)
class Typed:
    """One field as it was posted."""

    label: str
    value: str


def typed_rows(data: QueryDict, owner: type[Model], row: type[Model]) -> list[Typed]:
    """Give every filled field of a posted form with the name its writer knows it by.

    Args:
        data: the posted form.
        owner: model of the form itself.
        row: model of its list of rows.
    """
    found = []
    for key, value in data.items():
        in_row = _ROW.fullmatch(key)
        label = _label(row, in_row["name"]) if in_row else _label(owner, key)
        if not label or not value:
            continue
        if in_row:
            label = _("Step %(number)s: %(field)s") % {"number": int(in_row["index"]) + 1, "field": label}
        found.append(Typed(label, str(value)))
    return found


def _label(model: type[Model], name: str) -> str:
    field: Any = next((field for field in model._meta.concrete_fields if field.name == name), None)
    return str(field.verbose_name) if field and field.editable and not field.primary_key else ""
