"""Where each address of the site lies in the folder, and how one file speaks of another."""

from __future__ import annotations

import posixpath
from typing import Final
from urllib.parse import parse_qs, unquote, urljoin, urlsplit

from django.conf import settings
from django.urls import Resolver404, resolve
from django.utils.translation import get_language, get_language_from_path, override

PAGES: Final = frozenset({"home", "home_page", "coffee", "guide", "numbers", "constants", "bag", "insert"})
"""Names of the addresses that become pages; whatever else a page leads to stays with the site itself."""
FILES: Final = frozenset({"media"})
ASSETS: Final = "assets"


def inside(address: str, page: str) -> str | None:
    """Give an address on a page as a path of this site, its query kept; ``None`` where it leads elsewhere."""
    whole = urlsplit(urljoin(f"{settings.PUBLIC_BASE_URL}{page}", address))
    if f"{whole.scheme}://{whole.netloc}" != settings.PUBLIC_BASE_URL:
        return None
    return whole.path + (f"?{whole.query}" if whole.query else "")


def page_file(address: str) -> str | None:
    """Give the file of a page by its path; ``None`` for what does not become one."""
    path, _question, query = address.partition("?")
    if name_of(path) not in PAGES or not _is_plain(path):
        return None
    asked = parse_qs(query, keep_blank_values=True)
    if not asked:
        return posixpath.join(path.strip("/"), "index.html")
    if set(asked) == {"in"} and asked["in"][0] in dict(settings.LANGUAGES):
        return posixpath.join(path.strip("/"), f"in-{asked['in'][0]}", "index.html")
    return None


def is_file(address: str) -> bool:
    """Whether an address is a picture or clip, or one of the site's own files."""
    path = address.partition("?")[0]
    return path.startswith(settings.STATIC_URL) or name_of(path) in FILES


def name_of(path: str) -> str:
    """Give the name of an address, in whichever language it is; empty for what this site does not answer."""
    try:
        with override(get_language_from_path(path) or get_language()):
            return resolve(unquote(path)).url_name or ""
    except Resolver404:
        return ""


def relative(file: str, page: str) -> str:
    """Give a file as one page speaks of it."""
    return posixpath.relpath(file, posixpath.dirname(page) or ".")


def _is_plain(path: str) -> bool:
    return not {"..", "."} & set(unquote(path).split("/")) and "\\" not in unquote(path)
