"""Walks the public pages and writes them into a folder: every coffee, guide and language, every code that was printed.

Pages are asked for as a reader asks, so nothing can be in the folder that the site does not show. The codes are only
found by whoever has one: no page lists them.
"""

from __future__ import annotations

import hashlib
import posixpath
from collections.abc import Callable, Iterator
from pathlib import Path
from urllib.parse import unquote

from django.conf import settings
from django.contrib.staticfiles import finders
from django.contrib.staticfiles.storage import staticfiles_storage
from django.core.files.storage import default_storage
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import override

from guides.models import Address, Roastery
from guides.presenters import addresses
from guides.presenters.numbers import Figures
from guides.queries import house, lots

from . import places
from .fetch import Answer, Reader
from .rewrite import Page, styled

Progress = Callable[[int, int], object]
"""Told how many pages are written and how many are known of."""


def write(folder: Path, progress: Progress = lambda _done, _known: None) -> dict[str, int]:
    """Write the site into an empty folder and return the numbers of pages and other files.

    Raises:
        OSError: The folder cannot be written.
    """
    return _Writer(folder, house.current()).run(progress)


def starts(roastery: Roastery) -> Iterator[str]:
    """Give the addresses from which everything else is found, and those that only a printed code leads to."""
    for language in roastery.languages:
        with override(language):
            yield reverse("home")
    for address in Address.objects.select_related("lot__coffee").order_by("pk").iterator(chunk_size=200):
        bag = reverse("bag", args=[address.code])
        yield bag
        yield from (f"{bag}?in={language}" for language in roastery.languages)
        for shown in lots.shown_on(address.lot) if address.lot.is_public and not address.lot.is_recalled else ():
            for version in shown.revisions:
                for language in roastery.languages:
                    number, revision = version.guide.number, version.revision or 0
                    yield addresses.of_insert(address.code, number, revision, language).path


class _Writer:
    def __init__(self, folder: Path, roastery: Roastery) -> None:
        self._folder, self._house, self._reader = folder, roastery, Reader()
        self._assets: dict[str, str] = {}
        self._waiting: list[str] = []
        self._known: set[str] = set()

    def run(self, progress: Progress) -> dict[str, int]:
        pages = 0
        for start in starts(self._house):
            self._note(start)
        while self._waiting:
            address = self._waiting.pop()
            answer = self._reader.get(address)
            # A withdrawn guide answers 410 and still has something to say.
            if answer.status in (200, 410) and answer.kind.startswith("text/html"):
                self._write_page(address, answer)
                pages += 1
            progress(pages, pages + len(self._waiting))
        self._write_front()
        return {"pages": pages, "files": len(set(self._assets.values()))}

    def _note(self, address: str) -> None:
        file = places.page_file(address)
        if file is not None and file not in self._known:
            self._known.add(file)
            self._waiting.append(address)

    def _write_page(self, address: str, answer: Answer) -> None:
        file = places.page_file(address) or ""
        html = answer.content.decode()
        language = html.partition('<html lang="')[2].partition('"')[0] or self._house.languages[0]
        live = addresses.absolute(address)
        with override(language):
            today = Figures(language).date(timezone.localdate())
            told = {"day": today, "live": live, "is_bag": file.startswith("L/"), "site": settings.PUBLIC_BASE_URL}
            top = render_to_string("guides/public/copy_note.html", told)
            form = render_to_string("guides/public/copy_form.html", told)
        self._save(file, Page(lambda link: self._led(link, address, file), form, top).of(html).encode())

    def _led(self, link: str, page: str, file: str) -> str:
        """Give what stands in the place of a link: a file of the folder, or the site itself."""
        inside = places.inside(link, page)
        if inside is None:
            return link
        _address, hash_, fragment = link.partition("#")
        if places.is_file(inside):
            return places.relative(self._asset(inside), file)
        target = places.page_file(inside)
        if target is None:
            return addresses.absolute(inside) + hash_ + fragment
        self._note(inside)
        return places.relative(target, file) + hash_ + fragment

    def _asset(self, address: str) -> str:
        """Store a file under a name made from its content, once, and give that name."""
        if address in self._assets:
            return self._assets[address]
        content = self._content(address)
        stem, suffix = posixpath.splitext(posixpath.basename(address.partition("?")[0]))
        if suffix == ".css":
            at = f"{places.ASSETS}/any.css"
            content = styled(content.decode(), lambda link: self._led(link, address, at)).encode()
        name = f"{places.ASSETS}/{stem}.{hashlib.sha256(content).hexdigest()[:12]}{suffix}"
        self._assets[address] = name
        self._save(name, content)
        return name

    def _content(self, address: str) -> bytes:
        path = unquote(address.partition("?")[0])
        if not path.startswith(settings.STATIC_URL):
            with default_storage.open(path.strip("/")) as stored:
                return bytes(stored.read())
        name = path.removeprefix(settings.STATIC_URL)
        if staticfiles_storage.exists(name):
            with staticfiles_storage.open(name) as stored:
                return bytes(stored.read())
        found = finders.find(name)
        if not isinstance(found, str):
            raise FileNotFoundError(f"The site speaks of {path}, which is not there. Run collectstatic.")
        return Path(found).read_bytes()

    def _write_front(self) -> None:
        main, *_further = self._house.languages
        told = {"house": self._house, "main": main, "languages": [
            (code, dict(settings.LANGUAGES).get(code, code)) for code in self._house.languages
        ]}  # fmt: skip
        self._save("index.html", render_to_string("guides/public/copy_front.html", told).encode())

    def _save(self, name: str, content: bytes) -> None:
        target = self._folder / name
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(content)
