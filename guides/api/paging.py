"""Lists in parts. Rows come in the order of a key that never changes, so nothing is left out or told twice."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any, ClassVar

from django.db.models import QuerySet
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from guides.presenters import addresses

from . import cursors
from .parameters import CURSOR, LIMIT, USUAL, Parameter
from .serializers import serializer_of
from .view import Made


class Listing(Made):
    """Lists things of a ``shape``; ``key`` is the column that orders them."""

    shape: ClassVar[type]
    name: ClassVar[str]
    key: ClassVar[str] = "pk"
    filters: ClassVar[tuple[Parameter, ...]] = ()

    def made(self, request: Request, **kwargs: Any) -> Response:
        after, limit = self.asked.get("cursor"), self.asked.get("limit", USUAL)
        rows = self.rows(**kwargs).order_by(self.key)
        if after is not None:
            rows = rows.filter(**{f"{self.key}__gt": after})
        found = list(rows[: limit + 1])
        shown = found[:limit]
        last = getattr(shown[-1], self.key) if shown else after
        cursor = None if last is None else cursors.write(last)
        body = {
            "items": serializer_of(self.shape)(self.things(shown), many=True).data,
            "cursor": cursor,
            "next": self._next(request, str(cursor)) if len(found) > limit else None,
        }
        return Response(body, headers={"Content-Language": self.reader().language})

    def rows(self, *args: Any, **kwargs: Any) -> QuerySet[Any]:
        """Give the rows a list is made of."""
        raise NotImplementedError

    def things(self, rows: Sequence[Any]) -> Sequence[Any]:
        """Give what is told of some rows, in a constant number of queries."""
        raise NotImplementedError

    def parameters_of(self, method: str) -> Sequence[Parameter]:
        return (*super().parameters_of(method), CURSOR, LIMIT) if method in ("GET", "HEAD") else ()

    def answers(self, method: str) -> Mapping[Any, Any]:
        return {200: _page_of(self.shape)}

    def operation(self, method: str) -> str:
        return f"list_{self.name}"

    def _next(self, request: Request, cursor: str) -> str:
        asked = request.query_params.copy()
        asked["cursor"] = cursor
        return addresses.absolute(f"{request.path}?{asked.urlencode()}")


@cache
def _page_of(shape: type) -> type[serializers.Serializer]:
    one = serializer_of(shape)
    return type(
        one.__name__.replace("Serializer", "PageSerializer"),
        (serializers.Serializer,),
        {
            "__doc__": (
                "Part of a list. ``next`` leads to the part after it, while there is one. ``cursor`` stands behind the "
                "last item: kept and asked with later, it gives what has come since."
            ),
            "__module__": __name__,
            "items": one(many=True),
            "cursor": serializers.CharField(allow_null=True),
            "next": serializers.CharField(allow_null=True),
        },
    )
