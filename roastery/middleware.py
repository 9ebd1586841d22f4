"""Response headers that Django does not set itself."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

_PERMISSIONS = ", ".join(
    f"{feature}=()" for feature in ("accelerometer", "geolocation", "gyroscope", "microphone", "payment", "usb")
)


class PolicyHeadersMiddleware:
    """Keep other sites from embedding our answers, and give up powers the pages never use."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        response.headers.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        response.headers.setdefault("Permissions-Policy", _PERMISSIONS)
        return response
