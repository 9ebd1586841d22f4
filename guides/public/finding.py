"""How others find the guides: a map of the site in parts, a word to robots, and a feed of new guides.

Bags are in none of them: their codes are for whoever holds the bag.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from typing import Any, Final

from django.http import Http404, HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.feedgenerator import Atom1Feed, get_tag_uri
from django.utils.translation import gettext, override
from django.views.decorators.http import require_safe

from guides.models import Roastery
from guides.presenters import addresses, listing
from guides.queries import found, house

from . import page, speaking
from .kept import kept

_PAGES: Final = "pages"
"""The part of the site map with the pages that every site has."""
_NAMED: Final = {"coffees": "coffee", "guides": "guide"}


@require_safe
@kept
def site_map(request: HttpRequest) -> HttpResponse:
    """Name the parts of the map of the site."""
    parts = found.parts()
    named = [(_PAGES, 0, _newest(parts)), *((part.kind, part.number, part.changed_at) for part in parts)]
    entries = [
        {"address": addresses.absolute(reverse("sitemap_part", args=[kind, number])), "changed_at": changed_at}
        for kind, number, changed_at in named
    ]
    text = render_to_string("guides/public/sitemap_index.xml", {"entries": entries})
    return page.plain(request, text, "application/xml")


@require_safe
@kept
def site_map_part(request: HttpRequest, kind: str, number: str) -> HttpResponse:
    """List pages that customers may find without a code, in every language."""
    roastery = house.current()
    if (kind, number) == (_PAGES, "0"):
        entries = [_entry(roastery, "home", _newest(found.parts()))]
        entries += [_entry(roastery, name, None) for name in ("numbers", "constants")]
    else:
        inside = found.in_part(kind, int(number)) if kind in _NAMED else []
        entries = [_entry(roastery, _NAMED[kind], each.changed_at, slug=each.slug) for each in inside]
    if not entries:
        raise Http404
    text = render_to_string("guides/public/sitemap.xml", {"entries": entries})
    return page.plain(request, text, "application/xml", cache=page.REVALIDATE)


def _newest(parts: Iterable[found.Part]) -> datetime.datetime | None:
    return max((part.changed_at for part in parts), default=None)


def _entry(roastery: Roastery, name: str, changed_at: datetime.datetime | None, **arguments: str) -> dict[str, Any]:
    links = {code: addresses.absolute(href) for code, href in page.links(roastery, name, **arguments).items()}
    return {"links": links, "main": links[roastery.main_language], "changed_at": changed_at}


@require_safe
def robots(request: HttpRequest) -> HttpResponse:
    """Ask robots to keep to what is meant for all."""
    lines = ["User-agent: *", "Disallow: /admin/", "", f"Sitemap: {addresses.absolute(reverse('sitemap'))}", ""]
    return page.plain(request, "\n".join(lines), "text/plain")


@require_safe
@kept
def feed(request: HttpRequest) -> HttpResponse:
    """Tell of new guides, in the language of the address, as Atom (RFC 4287)."""
    roastery = house.current()
    language = speaking.of_address(roastery)
    with override(language):
        told = Atom1Feed(
            title=gettext("New brew guides"),
            link=addresses.absolute(reverse("home")),
            feed_url=addresses.absolute(reverse("feed")),
            description=gettext("Coffees and how to brew them"),
            language=language,
            author_name=roastery.name or gettext("Brew guides"),
        )
        for version in found.newest():
            line = listing.line(version, language)
            link = addresses.absolute(reverse("guide", args=[line.slug]))
            told.add_item(
                title=line.title,
                link=link,
                description=" ".join(part for part in (line.summary, line.recipe) if part),
                unique_id=get_tag_uri(f"{link}#{line.revision}", version.published_at),
                pubdate=version.published_at,
                updateddate=version.published_at,
            )
    return page.plain(request, told.writeString("utf-8"), "application/atom+xml")
