"""What every address of the API has in common: how it is read, refused, described, and kept by those who ask."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from typing import Any, ClassVar, Final, cast

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.utils.http import http_date, quote_etag
from django.utils.translation import override
from rest_framework.exceptions import NotFound
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import Serializer
from rest_framework.views import APIView

from guides.presenters.shop.entries import Reader
from guides.queries import house, stamp

from . import parameters
from .parameters import Parameter
from .serializers import serializer_of
from .throttling import Throttle
from .tokens import HasScope, TokenAuthentication

_REVALIDATE: Final = "no-cache"
_READS: Final = "GET, HEAD, OPTIONS"
_SETTLED_S: Final = 2
"""A time in whole seconds tells two changes apart only when both are past."""


class View(APIView):
    """Answers are JSON, refusals are problems, and words of our own are English unless a language is asked for.

    ``tag`` groups addresses in the description, ``scope`` names what a token must be good for, empty where anybody may
    read. ``parameters`` are those of reading; ``asked`` are their values in the request at hand.
    """

    authentication_classes = (TokenAuthentication,)
    permission_classes = (HasScope,)
    throttle_classes = (Throttle,)

    tag: ClassVar[str] = ""
    scope: ClassVar[str] = ""
    parameters: ClassVar[tuple[Parameter, ...]] = ()
    asked: dict[str, Any]

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        with override("en"):
            response = cast("Response", super().dispatch(request, *args, **kwargs))
            response.render()
        return _for_readers_elsewhere(_conditional(request, response), is_open=not self.scope)

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        super().initial(request, *args, **kwargs)
        if request.method != "OPTIONS":
            self.asked = parameters.read(request, self.parameters_of(str(request.method)))

    def options(self, request: HttpRequest, *args: Any, **kwargs: Any) -> Response:
        return Response(status=204)

    def reader(self) -> Reader:
        """For whom to write down what is asked."""
        roastery = house.current()
        return Reader(roastery, self.asked.get("language", roastery.main_language), timezone.localdate())

    def parameters_of(self, method: str) -> Sequence[Parameter]:
        return self.parameters if method in ("GET", "HEAD") else ()

    # What follows is for the description alone.

    def answers(self, method: str) -> Mapping[Any, Any]:
        raise NotImplementedError

    def refusals(self, method: str, *, names_something: bool) -> Sequence[int]:
        found = [400, 401, 406, 429]
        if self.scope:
            found.append(403)
        if names_something or any(parameter.name == "lot" for parameter in self.parameters):
            found.append(404)
        return sorted(found)

    def operation(self, method: str) -> str:
        raise NotImplementedError

    def sent(self, method: str) -> type[Serializer] | None:
        """Give what a request carries, if anything."""
        return None


class Reading(View):
    """Reads one thing of a ``shape``."""

    shape: ClassVar[type]
    name: ClassVar[str]

    def get(self, request: Request, **kwargs: Any) -> Response:
        thing, language = self.found(**kwargs), self.reader().language
        return Response(serializer_of(self.shape)(thing).data, headers={"Content-Language": language})

    def found(self, *args: Any, **kwargs: Any) -> Any:
        """Give the thing.

        Raises:
            NotFound: nothing published has that name.
        """
        raise NotImplementedError

    def answers(self, method: str) -> Mapping[Any, Any]:
        return {200: serializer_of(self.shape)}

    def operation(self, method: str) -> str:
        return f"read_{self.name}"


class Nothing(View):
    """Any other address."""

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        super(View, self).initial(request, *args, **kwargs)
        raise NotFound("There is nothing at this address; the description of the API lists those there are.")

    def http_method_not_allowed(self, request: HttpRequest, *args: Any, **kwargs: Any) -> Response:
        raise NotFound

    get = put = post = patch = delete = http_method_not_allowed


def _conditional(request: HttpRequest, response: HttpResponse) -> HttpResponse:
    """Say how new an answer is, and nothing more to those who have it already."""
    if response.status_code != 200 or request.method not in ("GET", "HEAD"):
        response.headers.setdefault("Cache-Control", "no-store")
        return response
    etag = quote_etag(hashlib.sha256(response.content).hexdigest()[:32])
    response.headers["ETag"] = etag
    response.headers["Cache-Control"] = (
        f"private, {_REVALIDATE}" if request.headers.get("Authorization") else _REVALIDATE
    )
    changed = _last_modified()
    if changed is not None:
        response.headers["Last-Modified"] = http_date(changed)
    answer = get_conditional_response(request, etag=etag, last_modified=changed, response=response)
    return response if answer is None else answer


def _last_modified() -> int | None:
    """When anything that customers may see last changed; what depends on the day changes with it."""
    changed_at = stamp.changed_at()
    if changed_at is None or timezone.now().timestamp() - changed_at.timestamp() < _SETTLED_S:
        return None
    today = timezone.localtime().replace(hour=0, minute=0, second=0, microsecond=0)
    return int(max(changed_at, today).timestamp())


def _for_readers_elsewhere(response: HttpResponse, *, is_open: bool) -> HttpResponse:
    """Let scripts of other sites read what anybody may read (CORS), without credentials."""
    if is_open:
        response.headers["Access-Control-Allow-Origin"] = "*"
        response.headers["Access-Control-Allow-Methods"] = _READS
        response.headers["Access-Control-Allow-Headers"] = "Accept, If-None-Match, If-Modified-Since"
        response.headers["Access-Control-Expose-Headers"] = "ETag, Last-Modified, Retry-After, Content-Language"
        response.headers["Access-Control-Max-Age"] = "86400"
    return response
