"""HTML to PDF. The only file that knows the PDF engine, which is imported when first used: it takes most of a second.

The engine may read our own style sheets and fonts and nothing else. Whatever else a document asks for is refused and
counted, and a document that asked is never handed over: a guide's words must not be able to reach a file or a network.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from functools import cache
from io import BytesIO
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from urllib.parse import urlsplit

from django.contrib.staticfiles import finders

from . import placed
from .placed import Piece, Slot

VARIANT = "pdf/ua-1"
# Never resolved (RFC 2606 keeps .invalid free): it only gives our files a place to be relative to.
ASSETS = "https://assets.invalid/static/"
_KINDS = {".css": "text/css", ".woff2": "font/ttf"}


class FetchRefused(Exception):
    """A document asked for something that is not ours. ``addresses`` are what it asked for."""

    def __init__(self, addresses: Sequence[str]) -> None:
        self.addresses = tuple(addresses)
        super().__init__(f"{len(addresses)} refused: {', '.join(addresses)}")


class EngineFailed(Exception):
    """The engine left something out, such as a drawing, and says so only in its log. ``messages`` are from there."""

    def __init__(self, messages: Sequence[str]) -> None:
        self.messages = tuple(messages)
        super().__init__("; ".join(messages))


class Laid:
    """A document with every line in its place, not yet painted. ``rules`` are those it was laid out with."""

    def __init__(self, document: Any, fetchers: Sequence[Any], parts: Sequence[Laid] = (), rules: str = "") -> None:
        self.rules = rules
        self._document = document
        self._fetchers = fetchers
        # Letters are gone as soon as nobody holds the part they were laid out in.
        self._parts = parts

    @property
    def page_sizes_mm(self) -> list[tuple[float, float]]:
        """Width and height of every page."""
        return [(page.width * placed.MM_PER_PX, page.height * placed.MM_PER_PX) for page in self._document.pages]

    def pieces(self) -> Iterator[Piece]:
        """Give every run of text and every picture, in the order of the pages."""
        for number, page in enumerate(self._document.pages):
            yield from placed.pieces(page._page_box, number, _engine().boxes)

    def slots(self) -> Iterator[Slot]:
        """Give every element that a lot has to itself, in the order of the pages."""
        for number, page in enumerate(self._document.pages):
            yield from placed.slots(page._page_box, number)

    def written(self) -> dict[tuple[str, str], str]:
        """Give every text of the document, whether it came to lie anywhere or not, by side and field."""
        return placed.written(self._document._html.etree_element)

    def pdf(self) -> bytes:
        """Paint it: tagged for screen readers, fonts embedded, the same bytes for the same input.

        Raises:
            FetchRefused: painting asked for something that is not ours.
            EngineFailed: something could not be painted.
        """
        with _listening(self._fetchers):
            return bytes(self._document.write_pdf(pdf_variant=VARIANT))


class Draft:
    """A document that may be laid out more than once, in different sizes of type."""

    def __init__(self, html: str, sheets: Sequence[str]) -> None:
        """Read a document.

        Args:
            html: the document.
            sheets: static paths of its style sheets, such as ``css/insert.css``.

        Raises:
            OSError: a system library of the engine is missing; ``engine_needs`` names it.
        """
        engine = _engine()
        self._engine = engine
        self._fetcher = _fetcher_class()()
        self._fonts = engine.fonts.FontConfiguration()
        self._html = engine.weasyprint.HTML(string=html, base_url=ASSETS, url_fetcher=self._fetcher)
        self._styles = [self._css(url=ASSETS + sheet) for sheet in sheets]

    def lay_out(self, rules: str = "") -> Laid:
        """Put every line in its place.

        Args:
            rules: further CSS, after the sheets.

        Raises:
            FetchRefused: the document asked for something that is not ours.
            EngineFailed: some part of it could not be laid out.
        """
        with _listening([self._fetcher]):
            styles = [*self._styles, self._css(string=rules, base_url=ASSETS)]
            document = self._html.render(font_config=self._fonts, stylesheets=styles, pdf_variant=VARIANT)
        return Laid(document, [self._fetcher], rules=rules)

    def _css(self, **source: str) -> Any:
        return self._engine.weasyprint.CSS(**source, url_fetcher=self._fetcher, font_config=self._fonts)


def joined(parts: Sequence[Laid]) -> Laid:
    """Put laid-out documents into one file. Title and language are those of the first."""
    if len(parts) == 1:
        return parts[0]
    pages = [page for part in parts for page in part._document.pages]
    fetchers = [fetcher for part in parts for fetcher in part._fetchers]
    return Laid(parts[0]._document.copy(pages), fetchers, parts)


@contextmanager
def _listening(fetchers: Sequence[Any]) -> Iterator[None]:
    """Fail for whatever the engine was refused or complained of; it goes on without, and tells its log at most."""
    complaints: list[str] = []
    ears = logging.Handler(logging.ERROR)
    ears.emit = lambda record: complaints.append(record.getMessage())  # type: ignore[method-assign]
    here = threading.get_ident()
    ears.addFilter(lambda record: record.thread == here)
    log = _engine().log
    log.addHandler(ears)
    try:
        yield
    finally:
        log.removeHandler(ears)
    refused = [address for fetcher in fetchers for address in fetcher.refused]
    if refused:
        raise FetchRefused(refused)
    if complaints:
        raise EngineFailed(complaints)


@cache
def _engine() -> SimpleNamespace:
    import weasyprint
    from weasyprint.formatting_structure import boxes
    from weasyprint.text import fonts

    log = logging.getLogger("weasyprint")
    # It warns of every rule that is for screens only.
    log.setLevel(logging.ERROR)
    return SimpleNamespace(weasyprint=weasyprint, fonts=fonts, boxes=boxes, log=log)


@cache
def _fetcher_class() -> type:
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    class OurFilesOnly(URLFetcher):
        """Gives our style sheets and fonts from disk; opens no connection and no other file."""

        def __init__(self) -> None:
            super().__init__(allowed_protocols=(), allow_redirects=False, fail_on_errors=False)
            self.refused: list[str] = []

        def fetch(self, url: str, headers: Any = None) -> URLFetcherResponse:
            path = _asset(url)
            if path is None:
                # An ordinary error, so that one run tells of every address; the document fails in the end. The engine's
                # own way of failing is swallowed where drawings are painted.
                self.refused.append(url)
                raise ValueError(f"not one of our files: {url}")
            body = _unpacked(path) if path.suffix == ".woff2" else path.read_bytes()
            return URLFetcherResponse(url, body, {"Content-Type": _KINDS[path.suffix]})

    return OurFilesOnly


@cache
def _unpacked(path: Path) -> bytes:
    """Letters as the engine uses them; unpacking takes longer than laying out a page."""
    from fontTools.ttLib import woff2  # type: ignore[import-untyped]

    body = BytesIO()
    with path.open("rb") as packed:
        woff2.decompress(packed, body)
    return body.getvalue()


def _asset(url: str) -> Path | None:
    """The file behind an address under ``ASSETS``, if it is a style sheet or a font of ours."""
    if not url.startswith(ASSETS):
        return None
    name = urlsplit(url).path.removeprefix(urlsplit(ASSETS).path)
    if ".." in name or "%" in name or Path(name).suffix not in _KINDS or not name.startswith(("css/", "fonts/")):
        return None
    found = finders.find(name)
    return Path(found) if isinstance(found, str) else None
