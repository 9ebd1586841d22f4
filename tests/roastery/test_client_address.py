"""Behind proxies the client is who the nearest trusted proxy says, never who the client says."""

from __future__ import annotations

import pytest
from django.http import HttpRequest, HttpResponse
from django.test import RequestFactory
from pytest_django import Settings

from roastery.client_address import ClientAddressMiddleware

PROXY = "10.0.0.9"


@pytest.mark.parametrize(
    ("depth", "forwarded", "client"),
    [
        (0, "", PROXY),
        (0, "203.0.113.5", PROXY),  # nobody in front: the header is the client's own invention
        (1, "203.0.113.5", "203.0.113.5"),
        (1, "198.51.100.1, 203.0.113.5", "203.0.113.5"),  # the left one is invented
        (2, "198.51.100.1, 203.0.113.5, 10.0.0.8", "203.0.113.5"),
        (1, "2001:db8::5", "2001:db8::5"),
        (1, "", PROXY),
        (2, "203.0.113.5", PROXY),  # did not come through both proxies
        (1, "not an address", PROXY),
        (1, "203.0.113.5, ", PROXY),
    ],
)
def test_client_address(settings: Settings, depth: int, forwarded: str, client: str) -> None:
    settings.PROXY_DEPTH = depth
    seen: list[str] = []

    def view(request: HttpRequest) -> HttpResponse:
        seen.append(request.META["REMOTE_ADDR"])
        return HttpResponse()

    request = RequestFactory().get("/", REMOTE_ADDR=PROXY, HTTP_X_FORWARDED_FOR=forwarded)
    ClientAddressMiddleware(view)(request)
    assert seen == [client]
