"""A page made fit to stand alone: its links relative, its scripts and forms taken out, a note of its day put in."""

from __future__ import annotations

import re
from collections.abc import Callable
from html import escape
from html.parser import HTMLParser
from typing import Final

_URLS: Final = {"href", "src", "poster"}
_STYLED: Final = re.compile(r"url\((?P<quote>[\"']?)(?P<address>[^)\"']+)(?P=quote)\)")
# Links of the head that mean nothing without the site, or make a browser ask across files.
_DROPPED_LINKS: Final = {"manifest", "preload"}
Led = Callable[[str], str]
"""From an address on the page to what stands in its place."""


class Page(HTMLParser):
    """Rewrites one page. ``lead`` gives links and files their place, ``form`` and ``top`` are HTML put in."""

    def __init__(self, lead: Led, form: str, top: str) -> None:
        super().__init__(convert_charrefs=False)
        self._lead, self._form, self._top = lead, form, top
        self._parts: list[str] = []
        self._skipped, self._depth = "", 0
        self._in_style = False

    def of(self, html: str) -> str:
        self.feed(html)
        self.close()
        return "".join(self._parts)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if self._skipped:
            self._depth += tag == self._skipped
            return
        if tag == "form" or (tag == "script" and given.get("type") != "application/ld+json"):
            self._skipped, self._depth = tag, 1
            self._parts.append(self._form if tag == "form" else "")
            return
        if tag == "link" and given.get("rel") in _DROPPED_LINKS:
            return
        self._in_style = tag == "style"
        self._parts.append(self._tag(tag, attrs))
        if tag == "main":
            self._parts.append(self._top)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if not self._skipped:
            self._parts.append(self._tag(tag, attrs)[:-1] + "/>")

    def handle_endtag(self, tag: str) -> None:
        if self._skipped:
            self._depth -= tag == self._skipped
            self._skipped = self._skipped if self._depth else ""
            return
        self._in_style = False
        self._parts.append(f"</{tag}>")

    def handle_data(self, data: str) -> None:
        self._add(styled(data, self._lead) if self._in_style else data)

    def handle_entityref(self, name: str) -> None:
        self._add(f"&{name};")

    def handle_charref(self, name: str) -> None:
        self._add(f"&#{name};")

    def handle_comment(self, data: str) -> None:
        self._add(f"<!--{data}-->")

    def handle_decl(self, decl: str) -> None:
        self._add(f"<!{decl}>")

    def _add(self, text: str) -> None:
        if not self._skipped:
            self._parts.append(text)

    def _tag(self, tag: str, attrs: list[tuple[str, str | None]]) -> str:
        kept = not (tag == "link" and dict(attrs).get("rel") in ("canonical", "alternate"))
        written = "".join(self._attribute(name, value, kept) for name, value in attrs)
        return f"<{tag}{written}>"

    def _attribute(self, name: str, value: str | None, led: bool) -> str:
        if value is None:
            return f" {name}"
        if led and name in _URLS and not value.startswith(("#", "data:", "mailto:", "tel:")):
            value = self._lead(value)
        elif name == "srcset":
            value = ", ".join(self._source(part.strip()) for part in value.split(","))
        return f' {name}="{escape(value)}"'

    def _source(self, part: str) -> str:
        address, space, size = part.partition(" ")
        return f"{self._lead(address)}{space}{size}"


def styled(css: str, lead: Led) -> str:
    """Rewrite the addresses in a style sheet."""
    return _STYLED.sub(lambda found: f"url({lead(found['address'])})", css)
