"""The description of the API, for programs."""

from __future__ import annotations

from rest_framework.request import Request
from rest_framework.response import Response

from . import schema
from .view import View


class DescriptionView(View):
    """Answers with the OpenAPI document."""

    def get(self, request: Request) -> Response:
        return Response(schema.document())
