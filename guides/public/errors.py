"""Answers to addresses that lead nowhere, and to our own mistakes."""

from __future__ import annotations

import logging

from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.utils.cache import patch_vary_headers
from django.utils.translation import get_language_from_path

from guides.models import Roastery
from guides.queries import house

from . import page, speaking
from .styling import Style, style

log = logging.getLogger(__name__)


def not_found(
    request: HttpRequest, exception: Exception | None = None, *, typed: str = "", reason: str = ""
) -> HttpResponse:
    """Answer 404 with help. Every unknown address gets the same answer, so that guessing teaches nothing.

    Args:
        request: for its language.
        exception: what Django hands its handler; not shown.
        typed: what somebody typed into the form for codes.
        reason: what is wrong with that, as ``short_code.BadCode`` has it.
    """
    roastery = house.current()
    language = _language(request, roastery)
    response = page.show(
        request,
        "not_found.html",
        {"typed": typed, "reason": reason},
        house=roastery,
        language=language,
        links={},
        status=404,
        cache=page.REVALIDATE,
    )
    patch_vary_headers(response, ["Accept-Language"])
    return response


def bad_request(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """Answer 400."""
    return _plain(request, "400.html", 400)


def forbidden(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """Answer 403."""
    return _plain(request, "403.html", 403)


def broken(request: HttpRequest) -> HttpResponse:
    """Answer 500 without asking the database, which may be what is broken."""
    return _plain(request, "500.html", 500)


def _plain(request: HttpRequest, template: str, status: int) -> HttpResponse:
    look = _look()
    response = HttpResponse(render_to_string(template, {"css": look.text}), status=status)
    response.headers["Cache-Control"] = "no-store"
    return page.styled(response, look)


def _look() -> Style:
    """The usual style, or none where even the static files cannot be found."""
    try:
        return style(Roastery(name="").accent)
    except ValueError:
        log.exception("The static files are not collected; run manage.py collectstatic.")
        return Style("", "'none'")


def _language(request: HttpRequest, roastery: Roastery) -> str:
    wishes = (request.GET.get("in"), get_language_from_path(request.path_info))
    return speaking.offered(request, roastery.languages, *wishes)
