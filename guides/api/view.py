"""What every address of the API has in common: how it is read, refused, described, and kept by those who ask."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, ClassVar, Final, cast

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.translation import override
from rest_framework.exceptions import NotFound
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import Serializer
from rest_framework.views import APIView

from guides.presenters.shop.entries import Reader
from guides.queries import house, marks
from guides.queries.marks import Basis

from . import conditions, kept, parameters
from .parameters import Parameter
from .serializers import serializer_of
from .throttling import Throttle
from .tokens import HasScope, TokenAuthentication

_READS: Final = "GET, HEAD, OPTIONS"


class View(APIView):
    """Answers are JSON, refusals are problems, and words of our own are English unless a language is asked for.

    ``tag`` groups addresses in the description, ``scope`` names what a token must be good for, empty where anybody may
    read. ``parameters`` are those of reading; ``asked`` are their values in the request at hand, and
    ``changed`` is when what it reads last changed; ``under`` is what the answer is kept under, where it may be.
    """

    authentication_classes = (TokenAuthentication,)
    permission_classes = (HasScope,)
    throttle_classes = (Throttle,)

    tag: ClassVar[str] = ""
    scope: ClassVar[str] = ""
    parameters: ClassVar[tuple[Parameter, ...]] = ()
    asked: dict[str, Any]
    changed: int | None = None
    under: kept.Key | None = None

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        with override("en"):
            response = cast("HttpResponse", super().dispatch(request, *args, **kwargs))
            if isinstance(response, Response):
                response.render()
                if self.under is not None:
                    kept.keep(self.under, response)
        return _for_readers_elsewhere(conditions.answer(request, response, self.changed), is_open=not self.scope)

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        super().initial(request, *args, **kwargs)
        if request.method != "OPTIONS":
            self.asked = parameters.read(request, self.parameters_of(str(request.method)))
        if request.method in ("GET", "HEAD") and (basis := self.basis(**kwargs)) is not None:
            self._look(request, basis)

    def _look(self, request: Request, basis: Basis) -> None:
        """See when what is read last changed; a time that is past for good is also what an answer is kept under."""
        changed_at = marks.changed_at(basis)
        self.changed = conditions.last_modified(changed_at, daily=basis.daily)
        if changed_at and self.changed and not (basis.whole_site or self.scope):
            self.under = kept.Key(request.get_full_path(), changed_at, timezone.localdate())

    def options(self, request: HttpRequest, *args: Any, **kwargs: Any) -> Response:
        return Response(status=204)

    def basis(self, *args: Any, **kwargs: Any) -> Basis | None:
        """Give what a reading rests on; ``None`` where nobody can say when that last changed."""
        return None

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


class Made(View):
    """Reads what takes some work to write down, so that it is kept once it is finished."""

    # No words here: the description of an address is that of its view.
    def get(self, request: Request, **kwargs: Any) -> HttpResponse:
        return (self.under and kept.find(self.under)) or self.made(request, **kwargs)

    def made(self, request: Request, **kwargs: Any) -> Response:
        """Make the answer."""
        raise NotImplementedError


class Reading(Made):
    """Reads one thing of a ``shape``."""

    shape: ClassVar[type]
    name: ClassVar[str]

    def made(self, request: Request, **kwargs: Any) -> Response:
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


def _for_readers_elsewhere(response: HttpResponse, *, is_open: bool) -> HttpResponse:
    """Let scripts of other sites read what anybody may read (CORS), without credentials."""
    if is_open:
        response.headers["Access-Control-Allow-Origin"] = "*"
        response.headers["Access-Control-Allow-Methods"] = _READS
        response.headers["Access-Control-Allow-Headers"] = "Accept, If-None-Match, If-Modified-Since"
        response.headers["Access-Control-Expose-Headers"] = "ETag, Last-Modified, Retry-After, Content-Language"
        response.headers["Access-Control-Max-Age"] = "86400"
    return response
