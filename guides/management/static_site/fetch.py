"""Asks the site for a page as a reader would, without a server in between."""

from __future__ import annotations

import io
from dataclasses import dataclass
from typing import cast
from urllib.parse import unquote, urlsplit

from django.conf import settings
from django.core.handlers.base import BaseHandler
from django.core.handlers.wsgi import WSGIRequest
from django.http import HttpResponse


@dataclass(frozen=True)
class Answer:
    status: int
    kind: str
    content: bytes


class Reader:
    """Reads pages of this site through all its middleware. Its looks are not counted as openings."""

    def __init__(self) -> None:
        self._site = BaseHandler()
        self._site.load_middleware()

    def get(self, address: str) -> Answer:
        """Ask for a path, with its query."""
        wanted, home = urlsplit(address), urlsplit(settings.PUBLIC_BASE_URL)
        environ = {
            "REQUEST_METHOD": "GET",
            # WSGI hands a path on as bytes in Latin-1 (PEP 3333).
            "PATH_INFO": unquote(wanted.path, encoding="latin-1"),
            "QUERY_STRING": wanted.query,
            "SERVER_NAME": home.hostname,
            "SERVER_PORT": str(home.port or (443 if home.scheme == "https" else 80)),
            "HTTP_HOST": home.netloc,
            "HTTP_X_FORWARDED_PROTO": home.scheme,
            "HTTP_SEC_PURPOSE": "prefetch",
            "REMOTE_ADDR": "127.0.0.1",
            "wsgi.url_scheme": home.scheme,
            "wsgi.input": io.BytesIO(),
        }
        # Not closed: that tells Django that a request has ended, and it would close the database under the walk.
        response = cast("HttpResponse", self._site.get_response(WSGIRequest(environ)))
        return Answer(response.status_code, response.headers.get("Content-Type", ""), response.getvalue())
