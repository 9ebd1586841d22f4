"""The page that explains the API to people, made from the same description that programs read."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.safestring import SafeString
from django.utils.translation import gettext, override
from django.views.decorators.http import require_safe

from guides.presenters import addresses, prose
from guides.queries import house

from . import page, speaking
from .kept import kept


@dataclass(frozen=True)
class Named:
    """A parameter, a field or a status, and what it means."""

    name: str
    kind: str
    says: str


@dataclass(frozen=True)
class Operation:
    """One thing that can be asked. ``scope`` is what a token must be good for; empty where anybody may ask."""

    key: str
    method: str
    path: str
    says: str
    scope: str
    parameters: tuple[Named, ...]
    answers: tuple[Named, ...]
    shape: str


@dataclass(frozen=True)
class Shape:
    """What an answer is made of."""

    name: str
    says: str
    fields: tuple[Named, ...]


@require_safe
@kept
def explain(request: HttpRequest, describe: Callable[[], Mapping[str, Any]]) -> HttpResponse:
    """Show every address, parameter, answer and shape. What programs are told is English in every language."""
    roastery = house.current()
    language = speaking.of_address(roastery)
    document = describe()
    context = {
        "operations": [
            _operation(path, method, told) for path, each in document["paths"].items() for method, told in each.items()
        ],
        "shapes": [_shape(name, told) for name, told in document["components"]["schemas"].items()],
        "description_address": addresses.absolute(reverse("api:openapi")),
        "site": roastery.base_address,
    }
    with override(language):
        preview = page.Preview(gettext("For shops and programs"))
    links = page.links(roastery, "api_page")
    return page.show(request, "api.html", context, house=roastery, language=language, links=links, preview=preview)


def _operation(path: str, method: str, told: Mapping[str, Any]) -> Operation:
    scopes = [scope for way in told["security"] for scope in way.get("token", ())]
    good = next(answer for status, answer in told["responses"].items() if status.startswith("2"))
    content = good.get("content", {}).get("application/json", {})
    return Operation(
        key=told["operationId"],
        method=method.upper(),
        path=path,
        says=_words(told["description"]),
        scope=scopes[0] if scopes else "",
        parameters=tuple(
            Named(each["name"], _kind(each["schema"]), _plain(each.get("description", "")))
            for each in told.get("parameters", ())
        ),
        answers=tuple(
            Named(status, "", _plain(answer.get("description", "")))
            for status, answer in sorted(told["responses"].items())
        ),
        shape=_kind(content.get("schema", {})),
    )


def _shape(name: str, told: Mapping[str, Any]) -> Shape:
    fields = tuple(Named(field, _kind(schema), "") for field, schema in told.get("properties", {}).items())
    return Shape(name, _words(told.get("description", "")), fields)


def _words(text: str) -> SafeString:
    """Paragraphs of a description, whose lines end where the source's do."""
    return prose.html(re.sub(r"(?<!\n)\n(?!\n)", " ", _plain(text)))


def _plain(text: str) -> str:
    """Words without the marks of code, which our own letters set apart."""
    return text.replace("`", "")


def _kind(schema: Mapping[str, Any]) -> str:
    """The type of a value in a word or two."""
    if "$ref" in schema:
        return str(schema["$ref"]).rpartition("/")[2]
    for several in ("oneOf", "anyOf", "allOf"):
        if several in schema:
            return " / ".join(_kind(each) for each in schema[several])
    if schema.get("type") == "array":
        return f"[{_kind(schema['items'])}]"
    kinds = schema.get("type", "")
    return " / ".join(kinds) if isinstance(kinds, list) else str(kinds)
