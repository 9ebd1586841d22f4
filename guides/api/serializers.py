"""Serializers made from the shapes of the presenters, so that a field is written down once."""

from __future__ import annotations

import datetime
import types
import typing
import uuid
from collections.abc import Iterable, Mapping
from dataclasses import fields, is_dataclass
from functools import cache
from typing import Any, Final

from rest_framework import serializers

from guides.presenters import addresses
from guides.presenters.pictures import Captions, Clip, Picture

_PLAIN: Final[dict[Any, type[serializers.Field]]] = {
    str: serializers.CharField,
    bool: serializers.BooleanField,
    int: serializers.IntegerField,
    float: serializers.FloatField,
    datetime.datetime: serializers.DateTimeField,
    datetime.date: serializers.DateField,
    uuid.UUID: serializers.UUIDField,
}


class Address(serializers.CharField):
    """A path on this site, told as a whole address; a list of editions keeps its form."""

    def to_representation(self, value: str) -> str:
        return ", ".join(addresses.absolute(part) for part in str(value).split(", ") if part)


class InOrder(serializers.ListField):
    """A set, told in one order so that equal answers are equal byte for byte."""

    def to_representation(self, data: Iterable[str]) -> list[str]:
        return sorted(data)


# Pages write paths; machines elsewhere need the site with them.
_ADDRESSES: Final = {(Picture, "src"), (Picture, "webp"), (Picture, "jpeg"), (Clip, "src"), (Captions, "src")}


@cache
def serializer_of(shape: type) -> type[serializers.Serializer]:
    """Give the serializer of a dataclass: a field for each of its fields, named and described by its own words."""
    hints = typing.get_type_hints(shape)
    made: dict[str, Any] = {
        field.name: Address() if (shape, field.name) in _ADDRESSES else _field(hints[field.name])
        for field in fields(shape)
    }
    return type(f"{shape.__name__.removesuffix('Shape')}Serializer", (serializers.Serializer,), made | _about(shape))


def _about(shape: type) -> dict[str, Any]:
    return {"__doc__": shape.__doc__, "__module__": __name__}


def _field(kind: Any, **options: Any) -> serializers.Field:
    inside = typing.get_args(kind)
    match typing.get_origin(kind):
        case types.UnionType | typing.Union:
            return _field(next(part for part in inside if part is not type(None)), allow_null=True)
        case origin if origin is tuple:
            child, rest = inside[0], inside[1:]
            if is_dataclass(child):
                return serializer_of(typing.cast("type", child))(many=True, **options)
            sizes: dict[str, Any] = (
                {} if rest == (Ellipsis,) else {"min_length": len(inside), "max_length": len(inside)}
            )
            return serializers.ListField(child=_field(child), **sizes, **options)
        case origin if origin is frozenset:
            return InOrder(child=_field(inside[0]), **options)
        case origin if origin in (dict, Mapping):
            return serializers.DictField(child=_field(inside[1]), **options)
    if is_dataclass(kind):
        return serializer_of(typing.cast("type", kind))(**options)
    return _PLAIN[kind](**options)
