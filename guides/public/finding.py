"""How others find the guides: a map of the site, a word to robots, and a feed of new guides.

Bags are in none of them: their codes are for whoever holds the bag.
"""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
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


@require_safe
@kept
def site_map(request: HttpRequest) -> HttpResponse:
    """List every page that customers may find without a code, in every language."""
    roastery, guides = house.current(), found.guides()
    newest = max((guide.changed_at for guide in guides), default=None)
    entries = [
        _entry(roastery, "home", newest),
        _entry(roastery, "numbers", None),
        _entry(roastery, "constants", None),
        *(_entry(roastery, "coffee", coffee.changed_at, slug=coffee.slug) for coffee in found.coffees()),
        *(_entry(roastery, "guide", guide.changed_at, slug=guide.slug) for guide in guides),
    ]
    text = render_to_string("guides/public/sitemap.xml", {"entries": entries})
    return page.plain(request, text, "application/xml")


def _entry(roastery: Roastery, name: str, changed_at: Any, **arguments: str) -> dict[str, Any]:
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
