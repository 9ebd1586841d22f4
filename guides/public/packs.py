"""What the GS1 Digital Link on a pack leads to (GS1-Conformant Resolver Standard, 1.2): stored targets on this site.

Unknown packs and those that are not shown to customers get the same answer.
"""

from __future__ import annotations

import json
from typing import Final
from urllib.parse import parse_qsl, quote, urlencode, urlsplit

from django.http import HttpRequest, HttpResponse, HttpResponseNotAllowed, HttpResponseRedirect
from django.utils.cache import patch_vary_headers

from guides.choices import State
from guides.codes import digital_link
from guides.codes.digital_link import BadLink, PackLink
from guides.models import Roastery
from guides.presenters import addresses, linkset
from guides.presenters.linkset import Link
from guides.queries import catalogue, house, lots

from . import errors, page, speaking

_METHODS: Final = ("GET", "HEAD", "OPTIONS")
_LINKSETS: Final = ("linkset", "all")  # "all" is what it was called before


def resolve(request: HttpRequest) -> HttpResponse:
    """Lead on to what a pack's address names, or tell every way on."""
    if request.method not in _METHODS:
        return HttpResponseNotAllowed(_METHODS)
    response = HttpResponse(status=204) if request.method == "OPTIONS" else _answer(request)
    if request.method == "OPTIONS":
        response.headers["Allow"] = ", ".join(_METHODS)
    return _open(response)


def describe(request: HttpRequest) -> HttpResponse:
    """Say what this resolver answers."""
    if request.method not in ("GET", "HEAD"):
        return HttpResponseNotAllowed(("GET", "HEAD"))
    text = json.dumps(linkset.description(house.current()), ensure_ascii=False)
    return _open(page.plain(request, text, "application/json"))


def _answer(request: HttpRequest) -> HttpResponse:
    try:
        named = digital_link.parse(_sent_path(request), request.META.get("QUERY_STRING", ""))
    except BadLink:
        return errors.bad_request(request)
    roastery = house.current()
    links = _links(named, roastery)
    if not links:
        return errors.not_found(request)
    anchor = addresses.of_pack(named.gtin, named.lot.upper())
    asked = request.GET.get("linkType", "")
    if asked in _LINKSETS or (not asked and linkset.MEDIA_TYPE in request.headers.get("Accept", "")):
        text = json.dumps(linkset.document(links, anchor), ensure_ascii=False)
        response = page.plain(request, text, linkset.MEDIA_TYPE)
    else:
        language = speaking.offered(request, roastery.languages)
        link = _followed(links, asked, language)
        if link is None:
            return errors.not_found(request)
        response = HttpResponseRedirect(_with_query(link.path, request), status=307)
    response.headers["Cache-Control"] = page.REVALIDATE
    response.headers["Link"] = f'<{anchor}?linkType=linkset>; rel="linkset"; type="{linkset.MEDIA_TYPE}"'
    patch_vary_headers(response, ["Accept", "Accept-Language"])
    return response


def _links(named: PackLink, roastery: Roastery) -> list[Link]:
    """Every way on; none for what is unknown or not shown."""
    if named.lot:
        lot = lots.by_pack(named.gtin, named.lot)
        code = lots.code_of(lot) if lot is not None and lot.is_public else ""
        if lot is None or not code:
            return []
        instructs = any(version.state == State.PUBLISHED for _row, version in lots.guides_of(lot))
        return linkset.of_lot(lot, code, roastery, instructs=instructs, sold=bool(catalogue.of_coffee(lot.coffee)))
    coffee = lots.coffee_by_gtin(named.gtin)
    guides = catalogue.of_coffee(coffee) if coffee is not None else ()
    return linkset.of_coffee(coffee, guides, roastery) if coffee is not None and guides else []


def _followed(links: list[Link], asked: str, language: str) -> Link | None:
    """The link to follow. Without a wish the default, which for a coffee is there in every language."""
    if asked and linkset.relation(asked) != linkset.DEFAULT:
        return linkset.chosen(links, linkset.relation(asked), language)
    first = links[0]
    return linkset.chosen(links, linkset.DEFAULTS, language) if first.language else first


def _sent_path(request: HttpRequest) -> str:
    """The path as it was sent, where the server tells it: decoded, an escaped slash would look like a plain one."""
    raw = str(request.META.get("RAW_URI", ""))
    if raw.startswith("/") and not raw.startswith("//"):
        return raw.partition("?")[0]
    return urlsplit(raw).path if "://" in raw else quote(request.path)


def _with_query(path: str, request: HttpRequest) -> str:
    """Pass everything on that was asked; where both say something, the request counts."""
    path, _mark, own = path.partition("?")
    sent = [(name, value) for name, values in request.GET.lists() for value in values]
    kept = [(name, value) for name, value in parse_qsl(own) if name not in request.GET]
    query = urlencode([*kept, *sent])
    return f"{path}?{query}" if query else path


def _open(response: HttpResponse) -> HttpResponse:
    """Let scripts of any site ask, as a resolver must."""
    response.headers["Access-Control-Allow-Origin"] = "*"
    response.headers["Access-Control-Allow-Methods"] = ", ".join(_METHODS)
    response.headers["Access-Control-Expose-Headers"] = "Link, Location"
    return response
