"""Counts a page that was handed out, knowing nothing of whom to.

Counted is an answer to GET with 200, and with 304, where the reader looks again at what the phone has kept. Not counted
are HEAD, which nobody reads, and what a browser fetches ahead on a guess. What a cache answers in our place is not
seen, and a robot's visit cannot be told from a reader's without looking at who asks.
"""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse

from guides.choices import Opened
from guides.lifecycle import opens

_AHEAD = ("Sec-Purpose", "Purpose", "X-Moz")


def opened(request: HttpRequest, response: HttpResponse, guide_id: int, what: Opened = Opened.PAGE) -> HttpResponse:
    """Note that a guide was opened, if it was; give the answer back as it is.

    Args:
        request: what was asked.
        response: what is answered.
        guide_id: the guide on the page.
        what: the page, or the brewing page. What is unfolded on a page is not told to the server.
    """
    count(request, response, guide_id, what)
    # The same page handed out again is an opening again (``kept.py``).
    response.opened = (guide_id, what)  # type: ignore[attr-defined]
    return response


def count(request: HttpRequest, response: HttpResponse, guide_id: int, what: Opened) -> None:
    """Note an opening, if this answer is one."""
    ahead = any("prefetch" in request.headers.get(name, "") for name in _AHEAD)
    if request.method == "GET" and response.status_code in (200, 304) and not ahead:
        opens.note(guide_id, what)
