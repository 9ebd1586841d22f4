"""Whose request it is, when proxies stand in front of the site."""

from __future__ import annotations

from collections.abc import Callable
from ipaddress import ip_address

from django.conf import settings
from django.http import HttpRequest, HttpResponse


class ClientAddressMiddleware:
    """Put the client's own address into ``REMOTE_ADDR``, where everything after this looks for it.

    With ``PROXY_DEPTH`` proxies in front, only the last that many entries of X-Forwarded-For were written by them; the
    first of those is the client, and anything further left is whatever the client liked to send.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        client = _forwarded_for(request, settings.PROXY_DEPTH)
        if client:
            request.META["REMOTE_ADDR"] = client
        return self.get_response(request)


def _forwarded_for(request: HttpRequest, depth: int) -> str | None:
    chain = request.META.get("HTTP_X_FORWARDED_FOR", "").split(",")
    if not 0 < depth <= len(chain):
        return None
    try:
        return str(ip_address(chain[-depth].strip()))
    except ValueError:
        return None
