"""Conditional answers (RFC 9110, 13): how new an answer is, and nothing more to those who have it already.

``If-None-Match`` wins over ``If-Modified-Since``. A time is told only where it is known, and of what the answer rests
on alone; it is looked up before the answer is made, so that it is never younger than what was read.
"""

from __future__ import annotations

import datetime
import hashlib
from typing import Final

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.utils.http import http_date, quote_etag

_REVALIDATE: Final = "no-cache"
_SETTLED_S: Final = 2
"""A time in whole seconds tells two changes apart only when both are past."""


def last_modified(changed_at: datetime.datetime | None, *, daily: bool) -> int | None:
    """Give what to tell of when something changed, in seconds since 1970; what depends on the day changes with it."""
    if changed_at is None or timezone.now().timestamp() - changed_at.timestamp() < _SETTLED_S:
        return None
    if daily:
        today = timezone.localtime().replace(hour=0, minute=0, second=0, microsecond=0)
        changed_at = max(changed_at, today)
    return int(changed_at.timestamp())


def answer(request: HttpRequest, response: HttpResponse, changed: int | None) -> HttpResponse:
    """Say of a finished answer how new it is; to those who have it, say that alone."""
    if response.status_code != 200 or request.method not in ("GET", "HEAD"):
        response.headers.setdefault("Cache-Control", "no-store")
        return response
    etag = quote_etag(hashlib.sha256(response.content).hexdigest()[:32])
    response.headers["ETag"] = etag
    response.headers["Cache-Control"] = (
        f"private, {_REVALIDATE}" if request.headers.get("Authorization") else _REVALIDATE
    )
    if changed is not None:
        response.headers["Last-Modified"] = http_date(changed)
    reply = get_conditional_response(request, etag=etag, last_modified=changed, response=response)
    return response if reply is None else reply
