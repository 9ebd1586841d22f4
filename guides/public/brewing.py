"""The brewing page, of a guide and beside a bag: load, present, render."""

from __future__ import annotations

from collections.abc import Mapping

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import override
from django.views.decorators.http import require_safe

from guides.choices import Opened, State
from guides.codes import short_code
from guides.models import Guide, GuideVersion, Lot, Roastery
from guides.presenters import adapt_request, adapted_sheet, addresses, brewing, guide_sheet
from guides.presenters.adapt_gear import Refused
from guides.presenters.adapt_request import AdaptRequest
from guides.presenters.addresses import Edition
from guides.queries import house, lots, versions

from . import counting, errors, page, speaking


@require_safe
def of_guide(request: HttpRequest, slug: str) -> HttpResponse:
    """Brew the newest revision of a guide; one without any goes to its page, which says why."""
    roastery = house.current()
    language = speaking.of_address(roastery)
    found = get_object_or_404(Guide, slug=slug)
    version = versions.current(found)
    if version is None:
        return _instead(reverse("guide", args=[slug]))
    home = page.links(roastery, "guide", slug=slug)
    return _show(request, version, roastery, language, page.links(roastery, "brew", slug=slug), home[language])


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
    return _show(request, version, roastery, language, links, reverse("insert", args=[code, tails[language]]), lot)


def _show(
    request: HttpRequest,
    version: GuideVersion,
    roastery: Roastery,
    language: str,
    links: Mapping[str, str],
    guide_href: str,
    lot: Lot | None = None,
) -> HttpResponse:
    """Show the plan as the address asks for it. One that cannot be kept goes to the guide, which says why."""
    query = request.META.get("QUERY_STRING", "")
    guide_href += f"?{query}" if query else ""
    parsed = adapt_request.parse(request.GET)
    if parsed.request is None:
        return _instead(guide_href)
    kept = guide_sheet.kept_of(version, lot)
    if parsed.request != AdaptRequest():
        try:
            kept = adapted_sheet.readers_snapshot(version, parsed.request, lot=lot, today=timezone.localdate())
        except Refused:
            return _instead(guide_href)
    with override(language):
        unavailable = brewing.unavailable()
    response = page.show(
        request,
        "brew.html",
        {
            "page": brewing.build(kept, language, parsed.request.units),
            "guide_href": guide_href,
            "unavailable": unavailable,
        },
        house=roastery,
        language=language,
        links=links,
        cache=page.REVALIDATE,
    )
    return counting.opened(request, response, version.guide_id, Opened.BREWING)


def _instead(address: str) -> HttpResponse:
    response = HttpResponseRedirect(address)
    response.headers["Cache-Control"] = page.REVALIDATE
    return response
