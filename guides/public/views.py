"""Pages without a bag: the roastery's coffees, one coffee, one guide. Load, present, render."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import patch_vary_headers
from django.utils.translation import get_language, override
from django.views.decorators.http import require_safe

from guides.choices import State
from guides.models import Coffee, Guide, Roastery
from guides.presenters import guide_sheet, listing, workings
from guides.queries import catalogue, house, nearest, versions

from . import page, speaking


@require_safe
def front(request: HttpRequest) -> HttpResponse:
    """Send a reader to the page in their language."""
    with override(speaking.offered(request, house.current().languages)):
        response = HttpResponseRedirect(reverse("home"))
    response.headers["Cache-Control"] = page.REVALIDATE
    patch_vary_headers(response, ["Accept-Language"])
    return response


@require_safe
def home(request: HttpRequest) -> HttpResponse:
    """Show the coffees on sale and their guides."""
    roastery = house.current()
    language = _language(roastery)
    shelf = [
        (listed.coffee, [listing.line(version, language) for version in listed.guides])
        for listed in catalogue.on_sale()
    ]
    return page.show(
        request, "home.html", {"shelf": shelf}, house=roastery, language=language, links=_links(roastery, "home")
    )


@require_safe
def coffee(request: HttpRequest, slug: str) -> HttpResponse:
    """Show one coffee and its guides."""
    roastery = house.current()
    language = _language(roastery)
    found = get_object_or_404(Coffee, slug=slug)
    guides = catalogue.of_coffee(found)
    if not guides:
        raise Http404
    context = {"coffee": found, "guides": [listing.line(version, language) for version in guides]}
    links = _links(roastery, "coffee", slug=slug)
    return page.show(request, "coffee.html", context, house=roastery, language=language, links=links)


@require_safe
def guide(request: HttpRequest, slug: str) -> HttpResponse:
    """Show the newest revision of a guide, or the notice where every one is withdrawn."""
    roastery = house.current()
    language = _language(roastery)
    found = get_object_or_404(Guide, slug=slug)
    version = versions.current(found) or versions.history_whole(found).first()
    if version is None:
        raise Http404
    context: dict[str, Any] = {"sheet": guide_sheet.build(version, language=language, today=timezone.localdate())}
    if version.state == State.WITHDRAWN:
        instead = nearest.to(version)
        context["instead"] = instead and listing.line(instead, language)
    links = _links(roastery, "guide", slug=slug)
    return page.show(request, "guide.html", context, house=roastery, language=language, links=links)


@require_safe
def numbers(request: HttpRequest) -> HttpResponse:
    """Show how the numbers are made."""
    roastery = house.current()
    language = _language(roastery)
    context = {"work": workings.workings(language)}
    links = _links(roastery, "numbers")
    return page.show(request, "numbers.html", context, house=roastery, language=language, links=links)


def _language(roastery: Roastery) -> str:
    """The language of the address, if the roastery offers it."""
    language = get_language() or ""
    if language not in roastery.languages:
        raise Http404
    return language


def _links(roastery: Roastery, name: str, **arguments: str) -> Mapping[str, str]:
    links = {}
    for code in roastery.languages:
        with override(code):
            links[code] = reverse(name, kwargs=arguments)
    return links
