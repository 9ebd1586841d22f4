"""Finished pages, kept by each process and handed out again until anything they may show changes.

The database marks every such change with a new stamp (``models/stamp_triggers.py``). Each process asks for the stamp
at most once in ``PAGE_STAMP_AGE_S``, and throws away all it has kept when the stamp or the day is another: a recall
shows within that time, whichever process took it. The stamp is asked for before a page is made, so a page is never
kept under a stamp younger than what it shows. What one process has made it lays down on the disk for the others
(``on_disk.py``).
"""

from __future__ import annotations

import datetime
import threading
import time
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import wraps
from typing import Final, TypeVar

from django.conf import settings
from django.db import connection
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.cache import get_conditional_response

from guides.queries import stamp

from . import counting, on_disk, speaking

MOST: Final = 256
"""Pages kept by a process; one is about 60 kB."""
LONGEST_ADDRESS: Final = 400
_CONDITIONS = ("HTTP_IF_NONE_MATCH", "HTTP_IF_MODIFIED_SINCE", "HTTP_IF_MATCH", "HTTP_IF_UNMODIFIED_SINCE")

Key = tuple[str, str]
View = TypeVar("View", bound=Callable[..., HttpResponse])


@dataclass
class _Shelf:
    """What one process keeps, all of it made under one stamp on one day."""

    made_under: tuple[str, datetime.date] | None = None
    looked_at: float = float("-inf")
    languages: tuple[str, ...] = ()
    pages: OrderedDict[Key, HttpResponse] = field(default_factory=OrderedDict)
    lock: threading.Lock = field(default_factory=threading.Lock)

    def look(self) -> tuple[str, datetime.date] | None:
        """Ask whether anything has changed, unless that was asked a moment ago; say what pages are now made under."""
        with self.lock:
            token = self.made_under and self.made_under[0]
            languages = self.languages
            if time.monotonic() - self.looked_at >= settings.PAGE_STAMP_AGE_S:
                # The moment before asking counts: the answer is no younger than that.
                self.looked_at = time.monotonic()
                token, languages = stamp.current() or (None, ())
            under = (token, timezone.localdate()) if token else None
            if under != self.made_under:
                self.made_under, self.languages = under, languages
                self.pages.clear()
            return under

    def find(self, key: Key) -> HttpResponse | None:
        with self.lock:
            page = self.pages.get(key)
            if page is not None:
                self.pages.move_to_end(key)
            return page

    def keep(self, key: Key, page: HttpResponse, under: tuple[str, datetime.date]) -> None:
        with self.lock:
            if under == self.made_under:
                self.pages[key] = page
                while len(self.pages) > MOST:
                    self.pages.popitem(last=False)


shelf: Final = _Shelf()


def kept(view: View) -> View:
    """Let a view's pages be kept. They depend on nothing but the address, the language offered, and the database.

    A page that is ``opened`` is counted whenever it is handed out again.
    """

    @wraps(view)
    def answer(request: HttpRequest, *args: str, **kwargs: str) -> HttpResponse:
        address = request.get_full_path()
        # A page made for one reader is not asked for twice; what is read inside a transaction may never come to be.
        plain = request.method in ("GET", "HEAD") and len(address) <= LONGEST_ADDRESS and set(request.GET) <= {"in"}
        if not plain or connection.in_atomic_block:
            return view(request, *args, **kwargs)
        under = shelf.look()
        if under is None:
            return view(request, *args, **kwargs)
        key = (address, speaking.offered(request, shelf.languages))
        found = shelf.find(key) or _from_disk(request, key, under)
        if found is None:
            made = _whole(request, view, *args, **kwargs)
            if made.status_code != 200:
                return made
            shelf.keep(key, made, under)
            if not request.GET:
                on_disk.keep(key, made, under)
            return _conditional(request, _copy(made))
        answered = _conditional(request, _copy(found))
        opened = getattr(found, "opened", None)
        if opened is not None:
            counting.count(request, answered, *opened)
        return answered

    return answer  # type: ignore[return-value]


def _from_disk(request: HttpRequest, key: Key, under: tuple[str, datetime.date]) -> HttpResponse | None:
    """Take a page that another process has made. Anybody can invent wishes; pages with one are not laid down."""
    page = None if request.GET else on_disk.find(key, under)
    if page is not None:
        shelf.keep(key, page, under)
    return page


def _whole(request: HttpRequest, view: View, *args: str, **kwargs: str) -> HttpResponse:
    """Have the page made in full, whatever the reader has of it already."""
    asked = {name: request.META.pop(name) for name in _CONDITIONS if name in request.META}
    try:
        return view(request, *args, **kwargs)
    finally:
        request.META.update(asked)


def _copy(page: HttpResponse) -> HttpResponse:
    """An answer of its own for each reader: middleware writes into it."""
    answer = HttpResponse(page.content, status=page.status_code, headers=dict(page.headers))
    answer._csp_update = getattr(page, "_csp_update", None)  # type: ignore[attr-defined]
    return answer


def _conditional(request: HttpRequest, answer: HttpResponse) -> HttpResponse:
    reply = get_conditional_response(request, etag=answer.headers.get("ETag"), response=answer)
    if reply is None or reply is answer:
        return answer
    reply._csp_update = answer._csp_update  # type: ignore[attr-defined]
    return reply
