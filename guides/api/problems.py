"""Errors as ``application/problem+json`` (RFC 9457): what is wrong, why, and what to do."""

from __future__ import annotations

import logging
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from http import HTTPStatus
from typing import Any, Final

from django.core.exceptions import PermissionDenied
from django.http import Http404
from rest_framework import exceptions
from rest_framework.response import Response

MEDIA_TYPE: Final = "application/problem+json"
log = logging.getLogger(__name__)


@dataclass(frozen=True)
class FieldProblem:
    """What is wrong with one parameter or field: ``code`` for programs, ``detail`` in words."""

    field: str
    code: str
    detail: str


@dataclass(frozen=True)
class Problem:
    """What went wrong (RFC 9457). ``title`` belongs to the status; ``detail`` is about this very request."""

    type: str
    title: str
    status: int
    detail: str
    errors: tuple[FieldProblem, ...] = ()


class BadRequest(exceptions.APIException):
    """A request that cannot be understood or met, each reason with its field."""

    status_code = 400
    default_detail = "Some of this request cannot be used; each field says why."

    def __init__(self, *problems: FieldProblem) -> None:
        self.problems = problems
        super().__init__()


def handle(error: Exception, _context: Mapping[str, Any]) -> Response:
    """Turn anything that stops a request into a problem. What is our own mistake is logged and told without details."""
    if isinstance(error, Http404):
        error = exceptions.NotFound("There is nothing published at this address.")
    elif isinstance(error, PermissionDenied):
        error = exceptions.PermissionDenied()
    elif not isinstance(error, exceptions.APIException):
        log.error("A request to the API failed", exc_info=error)
        error = exceptions.APIException("This is our mistake and it is logged. Try again later.")
    problems = error.problems if isinstance(error, BadRequest) else _fields(error.detail)
    detail = str(error.detail) if isinstance(error.detail, str) else BadRequest.default_detail
    answer = of(error.status_code, detail, problems)
    if wait_s := getattr(error, "wait", None):
        answer["Retry-After"] = str(int(wait_s))
    if challenge := getattr(error, "auth_header", None):
        answer["WWW-Authenticate"] = challenge
    answer.exception = True
    return answer


def of(status: int, detail: str, problems: Sequence[FieldProblem] = ()) -> Response:
    """Give a problem as an answer."""
    body: dict[str, Any] = {
        "type": "about:blank",  # RFC 9457, 4.2.1: the status says it all
        "title": HTTPStatus(status).phrase,
        "status": status,
        "detail": detail,
        "errors": [vars(problem) for problem in problems],
    }
    return Response(body, status=status, content_type=MEDIA_TYPE)


def _fields(detail: Any, field: str = "") -> tuple[FieldProblem, ...]:
    """The reasons of the framework, flat: a field of a list has its place in its name."""
    if isinstance(detail, dict):
        return tuple(found for name, part in detail.items() for found in _fields(part, _within(field, str(name))))
    if isinstance(detail, list):
        plain = all(isinstance(part, str) for part in detail)
        named = ((field, part) if plain else (_within(field, str(place)), part) for place, part in enumerate(detail))
        return tuple(found for name, part in named for found in _fields(part, name))
    if not field:
        return ()
    return (FieldProblem(field, getattr(detail, "code", "invalid"), str(detail)),)


def _within(outer: str, inner: str) -> str:
    return f"{outer}.{inner}" if outer else inner
