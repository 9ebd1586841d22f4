"""Finished pages on the machine's disk, for the processes beside the one that made them and those that start later.

They lie in one folder for everything they were made under: the database's mark of its last change, the day, this
version of the software, and the site's settings. Where any of these is another, so is the folder, and the first to
write there removes the others. Nothing in it is worth a backup, and a disk that is full or read-only costs time alone.
"""

from __future__ import annotations

import datetime
import hashlib
import json
import os
import shutil
import tempfile
import zlib
from collections.abc import Iterator
from contextlib import suppress
from functools import cache
from pathlib import Path
from typing import Final

from django.conf import settings
from django.http import HttpResponse

from guides.choices import Opened

MOST: Final = 4000
"""Pages in the folder; one is about 12 kB."""
_SOFTWARE: Final = ("guides", "roastery", "templates")


def find(key: tuple[str, str], under: tuple[str, datetime.date]) -> HttpResponse | None:
    """Give the page of an address in a language, if one was made under this."""
    folder = _folder(under)
    if folder is None:
        return None
    try:
        told, _line, body = zlib.decompress((folder / _name(key)).read_bytes()).partition(b"\n")
        head = json.loads(told)
        page = HttpResponse(body, headers=head["headers"])
    except (OSError, ValueError, KeyError, zlib.error):
        return None
    page._csp_update = head["policy"]  # type: ignore[attr-defined]
    if head["opened"]:
        guide_id, what = head["opened"]
        page.opened = (guide_id, Opened(what))  # type: ignore[attr-defined]
    return page


def keep(key: tuple[str, str], page: HttpResponse, under: tuple[str, datetime.date]) -> None:
    """Lay a finished page down, whole or not at all."""
    folder = _folder(under)
    if folder is None:
        return
    told = {
        "headers": dict(page.headers),
        "policy": getattr(page, "_csp_update", None),
        "opened": getattr(page, "opened", None),
    }
    with suppress(OSError):
        if not folder.exists():
            _begin(folder)
        if sum(1 for _page in os.scandir(folder)) >= MOST:
            return
        handle, draft = tempfile.mkstemp(prefix=".", dir=folder)
        with os.fdopen(handle, "wb") as file:
            file.write(zlib.compress(json.dumps(told).encode() + b"\n" + page.content, 1))
        Path(draft).replace(folder / _name(key))


def _begin(folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    for other in folder.parent.iterdir():
        if other != folder:
            shutil.rmtree(other, ignore_errors=True)


def _folder(under: tuple[str, datetime.date]) -> Path | None:
    if settings.PAGES_DIR is None:
        return None
    made_under = hashlib.sha256(repr((*under, software(), settings.SITE)).encode()).hexdigest()
    return settings.PAGES_DIR / made_under[:32]


def _name(key: tuple[str, str]) -> str:
    return hashlib.sha256(repr(key).encode()).hexdigest()[:32]


@cache
def software() -> str:
    """Tell this software from an older or newer one: by every file that it is made of, and the style sheets' names."""
    digest = hashlib.sha256()
    for path in _files():
        with suppress(FileNotFoundError):
            seen = path.stat()
            digest.update(f"{path} {seen.st_size} {seen.st_mtime_ns}\n".encode())
    return digest.hexdigest()


def _files() -> Iterator[Path]:
    for room in _SOFTWARE:
        for folder, _folders, files in os.walk(settings.BASE_DIR / room):
            yield from (Path(folder, file) for file in files if not file.endswith(".pyc"))
    yield Path(settings.STATIC_ROOT, "staticfiles.json")
