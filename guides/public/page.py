"""Every public answer leaves through here: same frame, same headers, no cookie."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.cache import get_conditional_response
from django.utils.http import quote_etag
from django.utils.translation import get_language_info, override

from guides.documents.share_picture import SharePicture
from guides.models import Roastery
from guides.presenters import addresses, meaning

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


@dataclass(frozen=True)
class Preview:
    """What a page is called and says where somebody passes its address on. ``kind`` is a type of Open Graph."""

    title: str
    summary: str = ""
    kind: str = "website"
    picture: SharePicture | None = None


def links(house: Roastery, name: str, **arguments: str) -> dict[str, str]:
    """Give the path of a page by language, the main language first."""
    found = {}
    for code in house.languages:
        with override(code):
            found[code] = reverse(name, kwargs=arguments)
    return found


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
    preview: Preview | None = None,
    things: Sequence[meaning.Thing] = (),
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
        preview: what is shown of it elsewhere.
        things: what it means, for machines.
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
                    LanguageLink(code, get_language_info(code)["name_local"], _kept(request, href), code == language)
                    for code, href in links.items()
                ],
                "alternates": {code: addresses.absolute(href) for code, href in links.items()},
                "main_address": addresses.absolute(next(iter(links.values()), "")),
                "canonical": addresses.absolute(links[language]) if language in links else "",
                "preview": preview,
                "meaning": meaning.script_text(things) if things else "",
                "css": look.text,
                **context,
            },
        )
    response = HttpResponse(html, status=status)
    response.headers["Cache-Control"] = cache
    response.headers["Content-Language"] = language
    return styled(_conditional(request, response), look)


def plain(request: HttpRequest, text: str, kind: str, cache: str = BRIEFLY) -> HttpResponse:
    """Answer with something that is not a page; 304 where the reader has it already.

    Args:
        request: for its conditions.
        text: the whole answer.
        kind: its media type, in UTF-8.
        cache: its Cache-Control.
    """
    response = HttpResponse(text, content_type=f"{kind}; charset=utf-8")
    response.headers["Cache-Control"] = cache
    return _conditional(request, response)


def _kept(request: HttpRequest, href: str) -> str:
    """Keep what the reader has asked for when they change the language, but not the wish for the old one."""
    asked = request.GET.copy()
    asked.pop("in", None)
    if not asked:
        return href
    return f"{href}{'&' if '?' in href else '?'}{asked.urlencode()}"


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
