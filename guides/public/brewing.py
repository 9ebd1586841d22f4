"""The brewing page, of a guide and beside a bag: load, present, render."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import override
from django.views.decorators.http import require_safe

from guides.choices import Opened, State
from guides.codes import short_code
from guides.lifecycle.snapshot import Snapshot
from guides.models import Guide, GuideVersion, Lot, Roastery
from guides.presenters import adapt_request, adapted_sheet, addresses, brewing, guide_sheet
from guides.presenters.adapt_gear import Refused
from guides.presenters.adapt_request import AdaptRequest
from guides.presenters.addresses import Edition
from guides.presenters.units import Units
from guides.queries import house, lots, versions

from . import counting, errors, page, speaking


@dataclass(frozen=True)
class Brewed:
    """What an address brews: a version, as data and made the reader's own, and the addresses around it.

    ``links`` is the page by language, without the reader's wishes; the others carry them.
    """

    house: Roastery
    version: GuideVersion
    kept: Snapshot
    units: Units
    lot: Lot | None
    language: str
    links: Mapping[str, str]
    guide_href: str
    brew_href: str
    send_href: str


@require_safe
def show(request: HttpRequest, slug: str = "", code: str = "", tail: str = "") -> HttpResponse:
    """Show the plan as the address asks for it."""
    found = brewed(request, slug, code, tail)
    if isinstance(found, HttpResponse):
        return found
    with override(found.language):
        unavailable = brewing.unavailable()
    response = page.show(
        request,
        "brew.html",
        {
            "page": brewing.build(found.kept, found.language, found.units),
            "guide_href": found.guide_href,
            "send_href": found.send_href,
            "unavailable": unavailable,
        },
        house=found.house,
        language=found.language,
        links=found.links,
        cache=page.REVALIDATE,
    )
    return counting.opened(request, response, found.version.guide_id, Opened.BREWING)


def brewed(request: HttpRequest, slug: str, code: str, tail: str) -> Brewed | HttpResponse:
    """Find what an address brews, or the answer that says why nothing is.

    Args:
        request: for the reader's wishes and language.
        slug: of a guide; empty beside a bag.
        code: of a bag; empty without one.
        tail: guide, revision and language, beside a bag.
    """
    return _of_guide(request, slug) if slug else _of_bag(request, code, tail)


def _of_guide(request: HttpRequest, slug: str) -> Brewed | HttpResponse:
    """The newest revision of a guide; one without any goes to its page, which says why."""
    roastery = house.current()
    language = speaking.of_address(roastery)
    version = versions.current(get_object_or_404(Guide, slug=slug))
    if version is None:
        return _instead(reverse("guide", args=[slug]))
    hrefs = (reverse("guide", args=[slug]), reverse("brew", args=[slug]), reverse("send_brew", args=[slug]))
    return _wished(request, roastery, version, None, language, page.links(roastery, "brew", slug=slug), hrefs)


def _of_bag(request: HttpRequest, code: str, tail: str) -> Brewed | HttpResponse:
    """What the page of a bag shows. A bag that is called back, or shows nothing, goes to its page."""
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
    tails = {each: Edition(edition.guide, edition.revision, each) for each in roastery.languages}
    links = {each: reverse("brew_bag", args=[code, tails[each]]) for each in tails}
    here = [code, tails[language]]
    hrefs = (reverse("insert", args=here), links[language], reverse("send_brew_bag", args=here))
    return _wished(request, roastery, version, lot, language, links, hrefs)


def _wished(
    request: HttpRequest,
    roastery: Roastery,
    version: GuideVersion,
    lot: Lot | None,
    language: str,
    links: Mapping[str, str],
    hrefs: tuple[str, str, str],
) -> Brewed | HttpResponse:
    """Make the plan the reader's own. A wish that cannot be kept goes to the guide, which says why."""
    query = request.META.get("QUERY_STRING", "")
    guide_href, brew_href, send_href = (f"{href}?{query}" if query else href for href in hrefs)
    parsed = adapt_request.parse(request.GET)
    if parsed.request is None:
        return _instead(guide_href)
    kept = guide_sheet.kept_of(version, lot)
    if parsed.request != AdaptRequest():
        try:
            kept = adapted_sheet.readers_snapshot(version, parsed.request, lot=lot, today=timezone.localdate())
        except Refused:
            return _instead(guide_href)
    return Brewed(roastery, version, kept, parsed.request.units, lot, language, links, guide_href, brew_href, send_href)


def _instead(address: str) -> HttpResponse:
    response = HttpResponseRedirect(address)
    response.headers["Cache-Control"] = page.REVALIDATE
    return response
