"""A guide's card for the pages of others, and its description by oEmbed. Only the card may stand in a frame."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.views.decorators.http import require_safe

from guides.documents import share_picture
from guides.models import Guide, GuideVersion
from guides.presenters import embedding, guide_sheet
from guides.presenters.embedding import HEIGHT, WIDTH
from guides.queries import house, versions

from . import page, speaking
from .kept import kept

_LEAST, _MOST = 120, 10_000


def framed(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Let any site show this one answer in a frame; there is nothing in it to be tricked into."""

    @wraps(view)
    def answer(*args: Any, **kwargs: Any) -> HttpResponse:
        response = view(*args, **kwargs)
        response._csp_replace = {"frame-ancestors": ["*"]}  # type: ignore[attr-defined]
        response.xframe_options_exempt = True
        response.headers["Cross-Origin-Resource-Policy"] = "cross-origin"
        return response

    return answer


@require_safe
@framed
@kept
def card(request: HttpRequest, slug: str) -> HttpResponse:
    """Show a guide in short: what goes in, the steps, the cautions, and the way to the whole of it."""
    roastery = house.current()
    language = speaking.of_address(roastery)
    version = _shown(get_object_or_404(Guide, slug=slug))
    if version is None:
        raise Http404
    sheet = guide_sheet.build(version, language=language, today=timezone.localdate())
    links = page.links(roastery, "guide", slug=slug)
    response = page.show(request, "card.html", {"sheet": sheet}, house=roastery, language=language, links=links)
    response.headers["X-Robots-Tag"] = "noindex"
    return response


@require_safe
def oembed(request: HttpRequest) -> HttpResponse:
    """Describe a guide's page as oEmbed 1.0 has it, in JSON; addresses of other sites and of drafts are not found."""
    if request.GET.get("format", "json") != "json":
        return _told({"error": "Only format=json is answered."}, 501)
    try:
        width, height = (_size(request.GET.get(name, ""), usual) for name, usual in
                         (("maxwidth", WIDTH), ("maxheight", HEIGHT)))  # fmt: skip
    except ValueError:
        return _told({"error": f"maxwidth and maxheight: whole numbers of pixels, {_LEAST} or more."}, 400)
    slug, language = embedding.guide_of(request.GET.get("url", "")) or ("", "")
    roastery = house.current()
    guide = Guide.objects.filter(slug=slug).first()
    version = versions.current(guide) if guide is not None and language in roastery.languages else None
    if version is None:
        return _told({"error": "url: write the address of a guide's page on this site."}, 404)
    sheet = guide_sheet.build(version, language=language, today=timezone.localdate())
    told: dict[str, Any] = {
        "type": "rich",
        "version": "1.0",
        "title": sheet.title,
        "provider_name": roastery.name,
        "provider_url": roastery.base_address,
        "cache_age": 3600,
        "html": embedding.frame(slug, sheet.title, language, width, height),
        "width": width,
        "height": height,
    }
    picture = share_picture.about(sheet, roastery)
    # A thumbnail, too, keeps to the largest size that was asked for.
    if picture.width <= _limit(request, "maxwidth") and picture.height <= _limit(request, "maxheight"):
        told |= {
            "thumbnail_url": picture.address,
            "thumbnail_width": picture.width,
            "thumbnail_height": picture.height,
        }
    return _told(told, 200)


def _shown(guide: Guide) -> GuideVersion | None:
    return versions.current(guide) or versions.history_whole(guide).first()


def _limit(request: HttpRequest, name: str) -> int:
    return int(request.GET.get(name) or _MOST)


def _size(text: str, usual: int) -> int:
    if not text:
        return usual
    if not (text.isascii() and text.isdigit() and len(text) <= 5 and int(text) >= _LEAST):
        raise ValueError(text)
    return min(int(text), usual)


def _told(body: dict[str, Any], status: int) -> HttpResponse:
    response = JsonResponse(body, status=status)
    response.headers["Cache-Control"] = page.BRIEFLY if status == 200 else page.REVALIDATE
    response.headers["Access-Control-Allow-Origin"] = "*"
    return response
