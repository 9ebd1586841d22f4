"""The brewing page, of a guide and beside a bag: load, present, render."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.translation import get_language, override
from django.views.decorators.http import require_safe

from guides.choices import State
from guides.codes import short_code
from guides.models import Guide, GuideVersion, Roastery
from guides.presenters import addresses, brewing
from guides.presenters.addresses import Edition
from guides.queries import house, lots, versions

from . import errors, page, speaking


@require_safe
def of_guide(request: HttpRequest, slug: str) -> HttpResponse:
    """Brew the newest revision of a guide; one without any goes to its page, which says why."""
    roastery = house.current()
    language = get_language() or ""
    if language not in roastery.languages:
        raise Http404
    found = get_object_or_404(Guide, slug=slug)
    version = versions.current(found)
    if version is None:
        return _instead(reverse("guide", args=[slug]))
    links, home = {}, {}
    for code in roastery.languages:
        with override(code):
            links[code], home[code] = reverse("brew", args=[slug]), reverse("guide", args=[slug])
    return _show(request, version, roastery, language, links, home[language])


@require_safe
def of_bag(request: HttpRequest, code: str, tail: str) -> HttpResponse:
    """Brew what the page of a bag shows. A bag that is called back, or shows nothing, goes to its page."""
    lot, edition = lots.by_code(code), addresses.read_edition(tail)
    if lot is None or edition is None:
        return errors.not_found(request)
    code = short_code.normalise(code)
    shown = [] if lot.is_recalled or not lot.is_public else [version for _row, version in lots.guides_of(lot)]
    version = next((each for each in shown if each.guide.number == edition.guide), None)
    if version is None or version.state == State.WITHDRAWN:
        return _instead(reverse("insert", args=[code, edition]))
    roastery = house.current()
    language = speaking.offered(request, roastery.languages, edition.language)
    tails = {code_: Edition(edition.guide, edition.revision, code_) for code_ in roastery.languages}
    links = {code_: reverse("brew_bag", args=[code, tail_]) for code_, tail_ in tails.items()}
    return _show(request, version, roastery, language, links, reverse("insert", args=[code, tails[language]]))


def _show(
    request: HttpRequest,
    version: GuideVersion,
    roastery: Roastery,
    language: str,
    links: Mapping[str, str],
    guide_href: str,
) -> HttpResponse:
    asked = f"?{query}" if (query := request.META.get("QUERY_STRING", "")) else ""
    with override(language):
        unavailable = brewing.unavailable()
    context: dict[str, Any] = {
        "page": brewing.build(version, language),
        "guide_href": guide_href + asked,
        "unavailable": unavailable,
    }
    return page.show(
        request,
        "brew.html",
        context,
        house=roastery,
        language=language,
        links={code: href + asked for code, href in links.items()},
        cache=page.REVALIDATE,
    )


def _instead(address: str) -> HttpResponse:
    response = HttpResponseRedirect(address)
    response.headers["Cache-Control"] = page.REVALIDATE
    return response
