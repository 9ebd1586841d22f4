"""The description of the API in OpenAPI 3.1, made from the views, their parameters and their shapes."""

from __future__ import annotations

import json
from functools import cache
from typing import Any, cast

from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.openapi import AutoSchema
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse

from .problems import MEDIA_TYPE, Problem
from .serializers import serializer_of
from .view import View

PROBLEMS = {
    400: "Something in the request cannot be used; `errors` names each field.",
    401: "A token is needed, or this one does not count any more.",
    403: "The token may not do this.",
    404: "Nothing is published there. What is not published yet answers the same.",
    405: "This address does not take that method.",
    406: "Answers are JSON and nothing else.",
    415: "What is sent must be JSON.",
    429: "Too many requests of late; `Retry-After` says in how many seconds to go on.",
}


class Described(AutoSchema):
    """Reads parameters, answer and problems from the view."""

    @property
    def ours(self) -> View:
        return cast("View", self.view)

    def get_override_parameters(self) -> list[Any]:
        return [
            OpenApiParameter(parameter.name, dict(parameter.schema), description=parameter.says)
            for parameter in self.ours.parameters_of(self.method)
        ]

    def get_response_serializers(self) -> Any:
        answers = dict(self.ours.answers(self.method))
        described = {
            (status, MEDIA_TYPE): OpenApiResponse(serializer_of(Problem), description=PROBLEMS[status])
            for status in self.ours.refusals(self.method, names_something="{" in self.path)
        }
        return answers | described

    def get_request_serializer(self) -> Any:
        return self.ours.sent(self.method)

    def get_operation_id(self) -> str:
        return str(self.ours.operation(self.method))

    def get_tags(self) -> list[str]:
        return [self.ours.tag]

    def get_auth(self) -> list[dict[str, list[str]]]:
        scope = self.ours.scope
        return [{"token": [scope]}] if scope else [{}, {"token": []}]


@cache
def document() -> dict[str, Any]:
    """Give the whole description."""
    from . import urls

    made = SchemaGenerator(patterns=urls.described).get_schema(request=None, public=True)
    # Docstrings mark code in one way, Markdown in another.
    text = json.dumps(made).replace("``", "`")
    return cast("dict[str, Any]", json.loads(text))
