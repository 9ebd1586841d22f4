"""Response headers that Django does not set itself."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse, HttpResponseNotAllowed

_PERMISSIONS = ", ".join(
    f"{feature}=()" for feature in ("accelerometer", "geolocation", "gyroscope", "microphone", "payment", "usb")
)
_DESK_METHODS = ("GET", "HEAD", "POST")


class PolicyHeadersMiddleware:
    """Keep other sites from embedding our answers, and give up powers the pages never use."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        response.headers.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        response.headers.setdefault("Permissions-Policy", _PERMISSIONS)
        return response


class DeskMethodsMiddleware:
    """Let the desk answer what browsers ask it. Its pages would take a PUT or a DELETE for a look at the form."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if request.path_info.startswith("/admin/") and request.method not in _DESK_METHODS:
            return HttpResponseNotAllowed(_DESK_METHODS)
        return self.get_response(request)
