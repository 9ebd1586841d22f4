"""Every address of the site, and who may be answered there: what the matrix of addresses and roles expects, by rule.

An area of the desk (a model) is open to those who may look at it, its forms to those who may write, its acts to those
who may act. A new public address needs a row in ``PUBLIC``, a new page of the desk one in ``PAGES``, a new act one in
``ACTS``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Final

from django.apps import apps
from django.contrib import admin
from django.urls import URLPattern, URLResolver, get_resolver

from .test_roles import _ADDS, _SEES

METHODS: Final = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS")
READ: Final = ("GET", "HEAD")
SEES: Final = _SEES
ROLES: Final = [*SEES, "staff without a group", "superuser", "anonymous", "customer"]
ALL, WRITERS, PRINTERS = set(SEES), {"roaster", "publisher"}, {"roaster", "publisher", "packer"}
# Who may write rows by hand; who the roastery is stays with the publisher.
WRITES: Final = {**_ADDS, "publisher": _ADDS["publisher"] | {"roastery"}}
# Pages of a model at the desk, by the last part of their address → who of those who see the area may open them.
PAGES: Final = {
    "": ALL, "history": ALL, "by id": ALL, "change": ALL, "preview": ALL, "review": ALL, "difference": ALL,
    "plan": WRITERS, "brew": WRITERS, "compare": ALL, "bench": ALL,
    "translations": ALL, "stand": ALL, "crowd": ALL, "test-sheet": ALL, "trace": ALL, "add": WRITERS, "delete": WRITERS,
    "check": WRITERS, "pdf": PRINTERS, "pack": PRINTERS, "sheet": PRINTERS, "pair": PRINTERS, "read": PRINTERS,
    "proposed": PRINTERS, "together": PRINTERS,
    "import": WRITERS, "export": ALL,
}  # fmt: skip
# These only those may post to who may write the area's rows; the last four they alone may open.
WRITTEN: Final = {"change", "translations", "add", "delete", "check", "import"}
WRITTEN_ONLY: Final = {"add", "delete", "check", "import"}
ACTS: Final = {
    "guideversion": {"submit": WRITERS, "send-back": WRITERS, "open-next": WRITERS, "go-back": WRITERS,
                     "publish": {"publisher"}, "publish-words": {"publisher"}, "approve": {"publisher"},
                     "schedule": {"publisher"}, "call-off": {"publisher"}, "withdraw": {"publisher"}},
    "coffee": {"merge": {"publisher"}},
    "guide": {"open-next": WRITERS, "retire": {"publisher"}},
    "site": {"sign-off": WRITERS}, "tasting": {"reveal": WRITERS},
    "trialbrew": dict.fromkeys(("open-draft", "inherit", "hold", "keep", "photo", "set-aside", "take-back"), WRITERS),
    "lot": {"recall": {"publisher"}, "explain-loss": WRITERS, "bags-out": PRINTERS},
    "greenlot": {"recall": {"publisher"}}, "roast": {"recall": {"publisher"}},
    "jobrun": {"again": WRITERS}, "apitoken": {"revoke": {"publisher"}},
    "webhook": {act: {"publisher", "shop"} for act in ("end", "try")},
    "packingrun": dict.fromkeys(("reprint", "count", "settle", "make-again", "cancel"), PRINTERS),
    "question": dict.fromkeys(("answer", "note", "merge", "keep-private", "spam", "reopen", "delete"), WRITERS),
}  # fmt: skip
# Open to everybody at the desk. Nothing of the roastery is on them but titles they may see.
OWN: Final = {
    "",
    "password_change/",
    "password_change/done/",
    "jsi18n/",
    "autocomplete/",
    "language/",
    "second-step/",
    "second-factor/",
}
DOOR: Final = {"login/", "logout/"}
PUBLIC: Final = {
    r"^L/(?P<code>[^/]+)/?$": "/L/{code}", r"^L/(?P<code>[^/]+)/(?P<tail>[^/]+)/?$": "/L/{code}/{edition}.EN",
    r"^[Ll]/(?P<code>[^/]+)/(?P<tail>[^/]+)/brew/?$": "/l/{code}/{edition}.en/brew/",
    r"^L/(?P<code>[^/]+)/(?P<tail>[^/]+)/brew$": "/L/{code}/{edition}.EN/brew",
    r"^l/(?P<code>[^/]+)(?:/(?P<tail>[^/]+))?/?$": "/l/{code}", r"^[Ll]/?$": "/L/?code={code}",
    ".well-known/gs1resolver": "/.well-known/gs1resolver",
    r"^(?P<name>(?:pictures|clips)/[^/]+)$": "/pictures/none.webp",
    "sitemap.xml": "/sitemap.xml",
    r"^sitemap-(?P<kind>pages|coffees|guides)-(?P<number>0|[1-9][0-9]{0,8})\.xml$": "/sitemap-guides-0.xml",
    r"en/^page/(?P<number>[2-9]|[1-9][0-9]{1,3})/$": "/en/page/2/", "en/find/": "/en/find/?coffee=e",
    "robots.txt": "/robots.txt", "sw.js": "/sw.js",
    "manifest.webmanifest": "/manifest.webmanifest", "": "/", "en/": "/en/",
    "en/coffees/<slug:slug>/": "/en/coffees/{coffee_slug}/", "en/guides/<slug:slug>/": "/en/guides/{guide_slug}/",
    "oembed": "/oembed", "en/api/": "/en/api/", "en/guides/<slug:slug>/card/": "/en/guides/{guide_slug}/card/",
    "en/guides/<slug:slug>/brew/": "/en/guides/{guide_slug}/brew/",
    "en/guides/<slug:slug>/share-<slug:key>.png": "/en/guides/{guide_slug}/share-none.png",
    r"^[Ss]/(?P<code>[^/]+)/(?P<tail>[^/]+)/?$": "/s/{site_code}/{edition}.EN",
    r"^[Tt]/(?P<token>[0-9A-Za-z-]+)/?$": "/t/{tasting_token}", "en/taste/": "/en/taste/",
    "en/guides/<slug:slug>/screen/": "/en/guides/{guide_slug}/screen/",
    "en/new.xml": "/en/new.xml", "en/numbers/": "/en/numbers/",
    "en/numbers/constants/": "/en/numbers/constants/",
}  # fmt: skip
_STEP = r"(?P<guide>[1-9][0-9]{0,4})\.(?P<revision>[1-9][0-9]{0,4})/(?P<step>0|[1-9][0-9]?)"
PUBLIC[f"en/^ask/{_STEP}/sent/$"] = "/en/ask/{edition}/1/sent/"
# Resolvers of packs answer a question about methods too.
PACKS: Final = {r"^01(?:/[\s\S]*)?\Z": "/01/04006381333931/10/RW-1"}
# What machines may read without a token.
API: Final = {
    "": "", "roastery": "roastery", "openapi.json": "openapi.json",
    r"^(?P<rest>[\s\S]+)\Z": "none", "coffees": "coffees",
    "coffees/<int:id>": "coffees/{coffee}", "lots": "lots", "lots/<str:name>": "lots/{lot_name}", "guides": "guides",
    "guides/<int:number>": "guides/{guide_number}", "guides/<int:number>/sheet": "guides/{guide_number}/sheet",
    "guides/<int:number>/versions": "guides/{guide_number}/versions",
    "guides/<int:number>/versions/<int:revision>": "guides/{guide_number}/versions/1",
    "guides/<int:number>/versions/<int:revision>/sheet": "guides/{guide_number}/versions/1/sheet",
    "changes": "changes",
}  # fmt: skip
# With a token alone: a log-in at the desk is none.
SCOPED: Final = {
    "guides/<int:number>/evidence": "guides/{guide_number}/evidence", "webhooks": "webhooks",
    "webhooks/<int:id>": "webhooks/{webhook}",
}  # fmt: skip
# What customers may send.
FORMS: Final = {
    r"^L/(?P<code>[^/]+)/(?P<tail>[^/]+)/brew/send$": "/L/{code}/{edition}.EN/brew/send",
    "en/taste/<slug:token>/": "/en/taste/{tasting_token}/",
    "en/guides/<slug:slug>/brew/send/": "/en/guides/{guide_slug}/brew/send/",
    f"en/^ask/{_STEP}/$": "/en/ask/{edition}/1/",
}  # fmt: skip

_FILLED: Final = {"<int:guide>": "{guide_number}", "<slug:language>": "en", "<slug:language>.pdf": "en.pdf"}

Row = tuple[str, str, str]
"""An address, its area, and its page."""


def routes(resolver: URLResolver | None = None, before: str = "") -> Iterator[str]:
    for entry in (resolver or get_resolver()).url_patterns:
        route = before + str(entry.pattern)
        if isinstance(entry, URLPattern):
            yield route
        else:
            yield from routes(entry, route)


def rows(route: str, world: Mapping[str, Any]) -> list[Row] | None:
    """Give the addresses to try for a route; ``None`` where no rule knows it."""
    if route.startswith("admin/"):
        return _at_desk(route.removeprefix("admin/"), world)
    if route.startswith("api/v1/"):
        rest = route.removeprefix("api/v1/")
        address = {**API, **SCOPED}.get(rest)
        page = "scoped" if rest in SCOPED else ""
        return None if address is None else [(f"/api/v1/{address}".format(**world), "api", page)]
    for table, page in ((PUBLIC, ""), (FORMS, "form"), (PACKS, "pack")):
        if route in table:
            return [(table[route].format(**world), "public", page)]
    return None


def _at_desk(rest: str, world: Mapping[str, Any]) -> list[Row] | None:
    if rest in OWN | DOOR:
        return [(f"/admin/{rest}", "door" if rest in DOOR else "own", "")]
    if rest == "register/":
        return [(f"/admin/{rest}", "address", "")]
    if rest == "condition/":  # for those who see the roastery's own row; a post is for those who change it
        return [(f"/admin/{rest}", "roastery", "change")]
    for start, address in (("r/<", "r/1/1/"), ("^(?P<app_label>", "guides/"), ("(?P<url>", "no/")):
        if rest.startswith(start):
            return [(f"/admin/{address}", "own", "")]
    app, model, *page = rest.strip("/").split("/")
    area, start, pk = model if app == "guides" else "others", f"/admin/{app}/{model}/", world.get(model, 999_999)
    if page and page[-1] == "password":
        return [(f"{start}{pk}/password/", "others", "change")]
    if not page or not page[0].startswith("<"):
        name = page[0] if page else ""
        return [(start + (f"{name}/" if name else ""), area, name)] if name in PAGES else None
    name = page[1].split("<")[0] if page[1:] else "by id"
    if name == "act":
        acts = admin.site._registry[apps.get_model(app, model)].acts
        return [(f"{start}{pk}/act/{act.name}/", area, f"act {act.name}") for act in acts]
    parts = [_FILLED.get(part, part).format(**world) for part in page[1:]]
    if any("<" in part for part in parts):
        return None
    papers = {"insert", "paper.pdf", "try.pdf", "wall"}
    if name not in PAGES and name not in papers:
        return None
    address = "/".join([f"{start}{pk}", *parts])
    return [(address if address.endswith(".pdf") else f"{address}/", area, "pdf" if name in papers else name)]


def may(role: str, area: str, page: str, method: str) -> bool:
    """Whether a role may be answered with a page: the whole of what the matrix expects."""
    if area == "api":
        return page != "scoped" and method in (*READ, "OPTIONS")
    if area == "public":
        return (
            method in READ
            or (page == "form" and method in ("POST", "OPTIONS"))
            or (page == "pack" and method == "OPTIONS")
        )
    if method not in (*READ, "POST"):
        return False
    if area == "door" or role == "superuser":
        return True
    if area == "own":
        return role not in ("anonymous", "customer")
    if area not in SEES.get(role, ()):
        return False
    if (area, page) == ("homebrew", "delete"):
        return role in WRITERS
    if page.startswith("act "):
        return role in ACTS[area][page.removeprefix("act ")]
    if page in WRITTEN_ONLY or (page in WRITTEN and method == "POST"):
        return area in WRITES[role]
    return role in PAGES[page]
