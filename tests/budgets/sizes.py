"""Bytes of every public page of the demo as they travel, and the answer to whoever has it already."""

from __future__ import annotations

import gzip
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from urllib.error import HTTPError
from urllib.parse import urlsplit

from tests.benchmarks.measuring import Line

SCRIPTS = 15_000
FIRST_FLIGHT = 14 * 1024  # ten segments of 1,460 bytes, RFC 6928


def addresses() -> dict[str, str]:
    """Give every public page of the demo by a name: each lot's, each guide's and coffee's, in each language."""
    from guides.models import Address, Roastery
    from guides.public import page
    from guides.queries import found

    house = Roastery.objects.get()
    pages = {f"lot {row.lot.name}": f"/L/{row.code}" for row in Address.objects.select_related("lot")}
    named = [("home", {}), ("numbers", {}), ("constants", {})]
    for part in found.parts():
        names = {"coffees": ("coffee",), "guides": ("guide", "brew")}[part.kind]
        slugs = [dated.slug for dated in found.in_part(part.kind, part.number)]
        named += [(name, {"slug": slug}) for slug in slugs for name in names]
    for name, arguments in named:
        for language, path in page.links(house, name, **arguments).items():
            pages[f"{name} {arguments.get('slug', '')} {language}".replace("  ", " ")] = path
    return pages


def fetch(url: str, **headers: str) -> tuple[int, bytes, dict[str, str]]:
    """Get an address as a phone does; give status, body as it travels, and headers."""
    request = urllib.request.Request(url, headers={"Accept-Encoding": "gzip", **headers})  # noqa: S310 - our own
    try:
        with urllib.request.urlopen(request) as response:  # noqa: S310
            return response.status, response.read(), dict(response.headers)
    except HTTPError as error:
        return error.code, error.read(), dict(error.headers)


def run(home: str, pages: dict[str, str]) -> Iterator[Line]:
    """Measure every page."""
    unchanged = 0
    for name, path in pages.items():
        _status, body, headers = fetch(home + path)
        holds = len(body) <= FIRST_FLIGHT
        what = f"compressed, {name} ({urlsplit(path).path})"
        yield Line(what, f"{len(body)} B", f"at most {FIRST_FLIGHT} B", holds)
        status, body, _headers = fetch(home + path, **{"If-None-Match": headers["ETag"]})
        unchanged += status == 304 and not body
    scripts = sum(len(gzip.compress(path.read_bytes())) for path in Path("static/js/brewing").glob("*.js"))
    yield Line("brewing scripts, compressed", f"{scripts} B", f"at most {SCRIPTS} B", 0 < scripts <= SCRIPTS)
    yield Line(
        "pages that answer 304 where nothing changed", f"{unchanged} of {len(pages)}", "all", unchanged == len(pages)
    )
