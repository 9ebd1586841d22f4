"""What stands in a bundle, told inside it: every table, every column, what it refers to, and in which words."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.utils.translation import override

from . import contents


def describe() -> dict[str, Any]:
    """Give the description that a bundle carries as ``schema.json``, in English."""
    with override("en"):
        return {model._meta.label: _table(model) for model in contents.tables()}


def file_of(model: type[models.Model]) -> str:
    """Name the file of a table inside a bundle."""
    return f"tables/{model._meta.label_lower}.jsonl"


def _table(model: type[models.Model]) -> dict[str, Any]:
    columns = {column.name: _column(column) for column in contents.columns(model)}
    several = {one.name: {"type": "list", "refers_to": _label(one)} for one in contents.lists(model)}
    return {
        "file": file_of(model),
        "what": str(model._meta.verbose_name),
        "told": (model.__doc__ or "").strip() if not (model.__doc__ or "").startswith(model.__name__ + "(") else "",
        "columns": columns | several,
    }


def _column(column: models.Field) -> dict[str, Any]:
    told: dict[str, Any] = {"type": column.get_internal_type(), "what": str(column.verbose_name)}
    if column.help_text:
        told["help"] = str(column.help_text)
    if column.is_relation:
        told["refers_to"] = _label(column)
    if column.choices:
        told["one_of"] = [str(value) for value, _label in column.flatchoices]
    if column.null:
        told["may_be_null"] = True
    return told


def _label(column: Any) -> str:
    other = column.related_model
    by = f" by {'.'.join(contents.CALLED[other])}" if other in contents.CALLED else ""
    return f"{other._meta.label}{by}"
