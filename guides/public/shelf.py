"""The coffees on sale, a page of them at a time, and finding one by its name. Load, present, render."""

from __future__ import annotations

from typing import Final

from django.core.paginator import EmptyPage, Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.utils.translation import gettext, override
from django.views.decorators.http import require_safe

from guides.presenters import listing
from guides.queries import catalogue, house

from . import page, speaking
from .kept import kept

PER_PAGE: Final = 10
"""Coffees on a page: a few looks down a phone."""
LONGEST_WISH: Final = 60
"""As many characters as a coffee's name has at most; what comes after them is not looked for."""
MOST_WORDS: Final = 6


@require_safe
@kept
def home(request: HttpRequest, number: str = "1") -> HttpResponse:
    """Show a page of the coffees on sale and their guides."""
    roastery = house.current()
    language = speaking.of_address(roastery)
    try:
        shelf = Paginator(catalogue.on_sale(), PER_PAGE).page(number)
    except EmptyPage as error:
        raise Http404 from error
    context = {"pages": shelf, "shelf": listing.shelf(catalogue.listed(list(shelf)), language)}
    with override(language):
        preview = page.Preview(gettext("Coffees and how to brew them"))
    is_first = number == "1"
    return page.show(
        request,
        "home.html",
        context,
        house=roastery,
        language=language,
        links=page.links(roastery, "home") if is_first else page.links(roastery, "home_page", number=number),
        # A new coffee moves others from page to page. What a change says to purge would be all of these.
        cache=page.BRIEFLY if is_first else page.REVALIDATE,
        preview=preview,
    )


@require_safe
def find(request: HttpRequest) -> HttpResponse:
    """Show the coffees on sale that have some words in their name, code, origin or process."""
    roastery = house.current()
    language = speaking.of_address(roastery)
    words = request.GET.get("coffee", "").replace("\0", "")[:LONGEST_WISH].split()[:MOST_WORDS]
    found = list(catalogue.called(words)[: PER_PAGE + 1]) if words else []
    context = {
        "wish": " ".join(words),
        "shelf": listing.shelf(catalogue.listed(found[:PER_PAGE]), language),
        "has_more": len(found) > PER_PAGE,
    }
    links = page.links(roastery, "find")
    response = page.show(
        request, "find.html", context, house=roastery, language=language, links=links, cache=page.REVALIDATE
    )
    response.headers["X-Robots-Tag"] = "noindex"
    return response
