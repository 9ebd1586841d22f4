"""The site's addresses and three more: a bare answer with the body of a page, and a lot's page with nothing in memory,
taken from the disk or made anew."""

from __future__ import annotations

import inspect
import os
from pathlib import Path

from django.http import HttpRequest, HttpResponse
from django.urls import path

from guides.public import bags, kept
from roastery.urls import handler400, handler403, handler404, handler500, urlpatterns  # noqa: F401

_BODY = Path(os.environ["BARE_BODY"]).read_bytes() if "BARE_BODY" in os.environ else b""
_make = inspect.unwrap(bags.scanned)


def bare(_request: HttpRequest) -> HttpResponse:
    return HttpResponse(_BODY)


def from_disk(request: HttpRequest, code: str) -> HttpResponse:
    kept.shelf.pages.clear()
    return bags.scanned(request, code)


def anew(request: HttpRequest, code: str) -> HttpResponse:
    return _make(request, code)


urlpatterns = [
    path("bare", bare),
    path("from-disk/<str:code>", from_disk),
    path("anew/<str:code>", anew),
    *urlpatterns,
]
