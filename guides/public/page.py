"""Every public answer leaves through here: same frame, same headers, no cookie."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.utils.cache import get_conditional_response
from django.utils.http import quote_etag
from django.utils.translation import get_language_info, override

from guides.models import Roastery

from .styling import Style, style

REVALIDATE: Final = "no-cache"
"""For bags and errors: a recall or a withdrawal shows at the very next look."""
BRIEFLY: Final = "public, max-age=30"
"""For pages without a bag."""


@dataclass(frozen=True)
class LanguageLink:
    """A way to the same page in another language."""

    code: str
    name: str
    href: str
    current: bool


def show(
    request: HttpRequest,
    template: str,
    context: Mapping[str, Any],
    *,
    house: Roastery,
    language: str,
    links: Mapping[str, str],
    status: int = 200,
    cache: str = BRIEFLY,
) -> HttpResponse:
    """Render a page in a language; answer 304 where the reader has it already.

    Args:
        request: for its conditions.
        template: under ``guides/public/``.
        context: what the template shows.
        house: the roastery.
        language: of the page.
        links: address of this page by language.
        status: of the answer.
        cache: its Cache-Control.
    """
    look = style(house.accent)
    with override(language):
        html = render_to_string(
            f"guides/public/{template}",
            {
                "house": house,
                "language": language,
                "direction": "rtl" if get_language_info(language)["bidi"] else "ltr",
                "languages": [
                    LanguageLink(code, get_language_info(code)["name_local"], href, code == language)
                    for code, href in links.items()
                ],
                "css": look.text,
                **context,
            },
        )
    response = HttpResponse(html, status=status)
    response.headers["Cache-Control"] = cache
    response.headers["Content-Language"] = language
    return styled(_conditional(request, response), look)


def _conditional(request: HttpRequest, response: HttpResponse) -> HttpResponse:
    if response.status_code != 200:
        return response
    etag = quote_etag(hashlib.sha256(response.content).hexdigest()[:32])
    response.headers["ETag"] = etag
    answer = get_conditional_response(request, etag=etag, response=response)
    return response if answer is None else answer


def styled(response: HttpResponse, look: Style) -> HttpResponse:
    """Let the policy accept our one style element; on a 304 too, whose headers replace the stored ones."""
    response._csp_update = {"style-src": [look.source]}  # type: ignore[attr-defined]
    return response
