"""Between frozen dataclasses and plain JSON."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import fields
from typing import Any, TypeVar

from cattrs import Converter
from cattrs.gen import make_dict_unstructure_fn, override

from guides.calculations.assessment import CoursePoint

from .canonical import DECIMALS

T = TypeVar("T")
_COURSE_DECIMALS = 3
_COURSE = [field.name for field in fields(CoursePoint)]


def to_json(value: Any) -> dict[str, Any]:
    """Give a dataclass as JSON, every fraction rounded to six decimals so that what is kept is what is hashed."""
    plain: dict[str, Any] = _converter.unstructure(value)
    return plain


def from_json(kept: Mapping[str, Any], kind: type[T]) -> T:
    """Give the dataclass back.

    Raises:
        ValueError: a field is missing or does not fit.
    """
    try:
        return _converter.structure(kept, kind)
    except Exception as error:  # cattrs raises groups of many kinds
        raise ValueError(f"A kept {kind.__name__} cannot be read: {error!r}") from error


def leave_out_when_empty(kind: type[Any], field: str) -> None:
    """Keep a field that was added later only where it says something, so that equal content keeps its hash."""
    leave_out: dict[str, Any] = {field: override(omit_if_default=True)}
    _converter.register_unstructure_hook(kind, make_dict_unstructure_fn(kind, _converter, **leave_out))


def _course_to_json(course: Sequence[CoursePoint]) -> dict[str, list[float]]:
    """Hundreds of points: a column per quantity takes a fifth of the room."""
    return {name: [round(float(getattr(point, name)), _COURSE_DECIMALS) for point in course] for name in _COURSE}


def _course_from_json(columns: Mapping[str, Sequence[float]], _kind: Any) -> tuple[CoursePoint, ...]:
    return tuple(CoursePoint(*map(float, row)) for row in zip(*(columns[name] for name in _COURSE), strict=True))


def _make() -> Converter:
    converter = Converter(forbid_extra_keys=True)
    converter.register_unstructure_hook(float, lambda number: round(float(number), DECIMALS))
    converter.register_unstructure_hook(datetime.datetime, lambda moment: moment.isoformat())
    converter.register_structure_hook(datetime.datetime, lambda kept, _: datetime.datetime.fromisoformat(kept))
    converter.register_unstructure_hook_func(lambda kind: kind == tuple[CoursePoint, ...], _course_to_json)
    converter.register_structure_hook_func(lambda kind: kind == tuple[CoursePoint, ...], _course_from_json)
    return converter


_converter = _make()
