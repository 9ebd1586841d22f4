"""Which language an answer is in: only those the roastery offers."""

from __future__ import annotations

from collections.abc import Sequence

from django.http import Http404, HttpRequest
from django.utils.translation import get_language, trans_real

from guides.models import Roastery


def offered(request: HttpRequest, languages: Sequence[str], *wanted: str | None) -> str:
    """Choose the first wanted language that is offered, else the one the reader's device asks for, else the main one.

    Args:
        request: for its Accept-Language.
        languages: codes, the main one first.
        *wanted: codes, strongest wish first; ``None`` is no wish.
    """
    for code in wanted:
        if code is not None and code in languages:
            return code
    for asked, _weight in trans_real.parse_accept_lang_header(request.headers.get("Accept-Language", "")):
        for code in languages:
            if asked.split("-")[0] == code or asked == code:
                return code
    return languages[0]


def of_address(house: Roastery) -> str:
    """Give the language of the address, if the roastery offers it.

    Raises:
        Http404: it does not.
    """
    language = get_language() or ""
    if language not in house.languages:
        raise Http404
    return language
