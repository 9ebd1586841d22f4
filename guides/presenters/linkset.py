"""Where a pack leads: links by what they are for, as a GS1-conformant resolver tells them (RFC 9264, in JSON).

Relations are those of the GS1 Web Vocabulary. Every target is an address of this site that is stored or made here;
nothing of a request becomes part of one.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Final

from django.urls import reverse
from django.utils.translation import gettext, override

from guides.models import Coffee, GuideVersion, Lot, Roastery

from . import addresses, listing

VOCABULARY: Final = "https://ref.gs1.org/voc/"
MEDIA_TYPE: Final = "application/linkset+json"
DEFAULT, DEFAULTS = "defaultLink", "defaultLinkMulti"
PRODUCT, INSTRUCTIONS, TRACEABILITY, RECALL = "pip", "instructions", "traceability", "recallStatus"
_PAGE, _DATA = "text/html", "application/json"


@dataclass(frozen=True)
class Link:
    """One way on. ``path`` is on this site; ``language`` is empty where it does not matter."""

    relation: str
    path: str
    title: str
    language: str = ""
    media_type: str = _PAGE


def of_coffee(coffee: Coffee, guides: Sequence[GuideVersion], house: Roastery) -> list[Link]:
    """Give where the pack of a coffee leads that has published guides: its page first, in the main language."""
    links = [Link(DEFAULT, _coffee(coffee, house.main_language), coffee.name, house.main_language)]
    for language in house.languages:
        page = _coffee(coffee, language)
        links += [Link(relation, page, coffee.name, language) for relation in (DEFAULTS, PRODUCT)]
        if len(guides) > 1:
            links.append(Link(INSTRUCTIONS, page, coffee.name, language))
        for version in guides:
            with override(language):
                path = reverse("guide", args=[version.guide.slug])
            links.append(Link(INSTRUCTIONS, path, listing.line(version, language).title, language))
    return links


def of_lot(lot: Lot, code: str, house: Roastery, *, instructs: bool, sold: bool) -> list[Link]:
    """Give where the pack of one lot leads that is shown to customers: the page of its bags first.

    Args:
        lot: with its coffee at hand.
        code: its address code.
        house: the roastery.
        instructs: a published guide is on that page.
        sold: its coffee has a page.
    """
    page = reverse("bag", args=[code])
    links = [Link(DEFAULT, page, _bag(lot, house.main_language))]
    for language in house.languages:
        here, title = f"{page}?in={language}", _bag(lot, language)
        links += [Link(relation, here, title, language) for relation in (DEFAULTS, TRACEABILITY, RECALL)]
        if instructs and not lot.is_recalled:
            links.append(Link(INSTRUCTIONS, here, title, language))
        if sold:
            links.append(Link(PRODUCT, _coffee(lot.coffee, language), lot.coffee.name, language))
    data = reverse("api:lot", args=[lot.name])
    return links + [Link(relation, data, lot.name, "", _DATA) for relation in (TRACEABILITY, RECALL)]


def chosen(links: Iterable[Link], relation: str, language: str) -> Link | None:
    """Give the link to follow for a relation: the first in a language, else the first of all; ``None`` for no link."""
    fitting = [link for link in links if link.relation == relation]
    return next((link for link in fitting if link.language == language), next(iter(fitting), None))


def relation(text: str) -> str:
    """Read the name of a relation as resolvers are asked for it: ``gs1:pip``, or its whole address."""
    for start in ("gs1:", VOCABULARY, "https://gs1.org/voc/", "https://www.gs1.org/voc/"):
        if text.startswith(start):
            return text.removeprefix(start)
    return ""


def document(links: Sequence[Link], anchor: str) -> dict[str, Any]:
    """Write links down as RFC 9264 has them in JSON, with the description of the pack that GS1 wants beside.

    Args:
        links: the default first, which is called like the pack.
        anchor: the address of the pack.
    """
    context: dict[str, Any] = {"anchor": anchor, "itemDescription": links[0].title}
    for link in links:
        told: dict[str, Any] = {"href": addresses.absolute(link.path), "title": link.title, "type": link.media_type}
        if link.language:
            told["hreflang"] = [link.language]
        context.setdefault(VOCABULARY + link.relation, []).append(told)
    return {"linkset": [context]}


def description(house: Roastery) -> dict[str, Any]:
    """Say what this resolver answers: the file that GS1 resolvers keep at a well-known address (Resolver, 1.2)."""
    return {
        "name": house.name,
        "resolverRoot": house.base_address,
        "supportedPrimaryKeys": ["01"],
        "supportedLinkType": [{"namespace": VOCABULARY, "prefix": "gs1:"}],
        "linkTypeDefaultCanBeLinkset": False,
    }


def _coffee(coffee: Coffee, language: str) -> str:
    with override(language):
        return reverse("coffee", args=[coffee.slug])


def _bag(lot: Lot, language: str) -> str:
    with override(language):
        return gettext("%(coffee)s, lot %(lot)s") % {"coffee": lot.coffee.name, "lot": lot.name}
