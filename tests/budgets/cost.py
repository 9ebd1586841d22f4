"""What a lot's page costs the server: queries where it is made, and its time beside a bare answer where it is kept."""

from __future__ import annotations

import gzip
import io
from collections.abc import Iterator
from typing import Any

from tests.benchmarks.measuring import Line, at_most, best_ms

QUERIES = 8
RATIO = 1.5
ROUNDS = 40


def bare(body: bytes) -> Any:
    """Give the site with one view more, which answers with these bytes: same middleware, same size."""
    from types import ModuleType

    from django.http import HttpResponse
    from django.urls import path

    from roastery.urls import urlpatterns

    urls = ModuleType("bare_urls")
    urls.urlpatterns = [path("bare", lambda _request: HttpResponse(body)), *urlpatterns]  # type: ignore[attr-defined]
    return urls


def run(pages: dict[str, str]) -> Iterator[Line]:
    """Measure the lots' pages."""
    from django.test.utils import override_settings
    from django.urls import clear_url_caches

    from guides.public import kept

    lots = {name: path for name, path in pages.items() if name.startswith("lot ")}
    for name, path in lots.items():
        kept.shelf.pages.clear()
        count = queries(path)
        yield Line(f"queries where nothing is kept, {name}", str(count), f"at most {QUERIES}", count <= QUERIES)
    path = max(lots.values(), key=lambda path: len(answer(path)))
    whole = gzip.decompress(answer(path))
    kept_ms = best_ms(lambda: [answer(path) for _ in range(ROUNDS)]) / ROUNDS
    with override_settings(ROOT_URLCONF=bare(whole)):
        clear_url_caches()
        assert gzip.decompress(answer("/bare")) == whole
        bare_ms = best_ms(lambda: [answer("/bare") for _ in range(ROUNDS)]) / ROUNDS
    clear_url_caches()
    yield Line("one bare answer of the same size through the same middleware", f"{bare_ms:.2f} ms")
    yield Line("the lot's page, kept", f"{kept_ms:.2f} ms")
    yield at_most("a kept lot page beside a bare answer", kept_ms / bare_ms, RATIO)
    made_ms = best_ms(lambda: (kept.shelf.pages.clear(), answer(path)), 5)
    yield Line("the lot's page, made anew", f"{made_ms:.2f} ms")


def queries(path: str) -> int:
    """Count the queries of one answer, the look at the stamp included."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    from guides.public import kept

    kept.shelf.looked_at = float("-inf")
    with CaptureQueriesContext(connection) as seen:
        answer(path)
    return len(seen)


def answer(path: str) -> bytes:
    """Have the site answer a phone, as a web server would ask it to."""
    from django.conf import settings

    from roastery.wsgi import application

    host, _colon, port = settings.PUBLIC_BASE_URL.removeprefix("http://").partition(":")
    path, _mark, query = path.partition("?")
    environ = {
        "REQUEST_METHOD": "GET",
        "PATH_INFO": path,
        "QUERY_STRING": query,
        "SERVER_NAME": host,
        "SERVER_PORT": port or "80",
        "HTTP_HOST": f"{host}:{port}",
        "HTTP_ACCEPT_ENCODING": "gzip",
        "HTTP_ACCEPT_LANGUAGE": "en",
        "REMOTE_ADDR": "127.0.0.1",
        "wsgi.input": io.BytesIO(),
        "wsgi.errors": io.StringIO(),
        "wsgi.url_scheme": "http",
    }
    response = application(environ, lambda _status, _headers, _info=None: None)
    try:
        return b"".join(response)
    finally:
        response.close()
