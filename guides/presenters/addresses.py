"""Addresses that are printed, and what they say when they are read back.

All are written whole in upper case (a QR symbol is then a version smaller) and answered in either case. They outlive
guides and lots, so their form is never changed, only added to:

    HTTPS://GUIDES.EXAMPLE/L/7K2M9QX4          the lot
    HTTPS://GUIDES.EXAMPLE/L/7K2M9QX4/12.3.SV  an insert of guide 12, revision 3, in Swedish
    HTTPS://GUIDES.EXAMPLE/01/09520123456788/10/OM-071  the lot, as a GS1 Digital Link
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from urllib.parse import urlsplit

from django.conf import settings

from guides.codes import short_code
from guides.models import Lot

_PATH = re.compile(r"/L/(?P<code>[^/]+)(?:/(?P<edition>[^/]+))?/?", re.IGNORECASE)
_EDITION = re.compile(
    r"(?P<guide>[1-9][0-9]{0,4})\.(?P<revision>[1-9][0-9]{0,4})\.(?P<language>[A-Za-z]{2,3}(-[A-Za-z0-9]+)*)"
)


@dataclass(frozen=True)
class Edition:
    """What an insert's address says about its paper."""

    guide: int
    revision: int
    language: str

    def __str__(self) -> str:
        return f"{self.guide}.{self.revision}.{self.language.upper()}"


@dataclass(frozen=True)
class PrintedAddress:
    """A printed address, taken apart. ``edition`` is ``None`` for the address of a lot alone.

    ``pack`` is the path of a GS1 Digital Link where that is printed instead; the code then stands in letters alone.
    """

    site: str
    code: str
    edition: Edition | None
    pack: str = ""

    @property
    def path(self) -> str:
        """The path as printed."""
        return self.pack or f"/L/{self.code}" + (f"/{self.edition}" if self.edition else "")

    def __str__(self) -> str:
        return f"{self.site.upper()}{self.path}"


def absolute(path: str) -> str:
    """Give the whole address of a path on this site, as others must write it."""
    return f"{settings.PUBLIC_BASE_URL}{path}"


def of_pack(gtin: str, lot: str = "") -> str:
    """Give the GS1 Digital Link of a pack on this site, of one lot or of all.

    Lot names hold nothing that an address escapes. Form: GS1 Digital Link URI Syntax 1.6, keys 01 and 10.
    """
    return absolute(f"/01/{gtin}/10/{lot}" if lot else f"/01/{gtin}")


def of_lot(code: str) -> PrintedAddress:
    """Give the address of a lot on this site."""
    return PrintedAddress(settings.PUBLIC_BASE_URL, code, None)


def on_paper(lot: Lot, code: str, edition: Edition | None = None) -> PrintedAddress:
    """Give the address that a paper of a lot carries: as its coffee has it, a Digital Link of GTIN and lot alone."""
    if lot.coffee.prints_digital_link and lot.coffee.gtin:
        pack = of_pack(lot.coffee.gtin, lot.name).removeprefix(settings.PUBLIC_BASE_URL)
        return PrintedAddress(settings.PUBLIC_BASE_URL, code, None, pack)
    return PrintedAddress(settings.PUBLIC_BASE_URL, code, edition)


def of_insert(code: str, guide: int, revision: int, language: str) -> PrintedAddress:
    """Give the address an insert carries on this site."""
    return PrintedAddress(settings.PUBLIC_BASE_URL, code, Edition(guide, revision, language))


def read(text: str) -> PrintedAddress | None:
    """Take apart an address as it was scanned, in either case; ``None`` for any other text."""
    try:
        parts = urlsplit(text.strip())
    except ValueError:
        return None
    found = _PATH.fullmatch(parts.path)
    if found is None or parts.query or parts.fragment or not parts.scheme:
        return None
    edition = read_edition(found["edition"]) if found["edition"] else None
    try:
        code = short_code.normalise(found["code"])
    except short_code.BadCode:
        return None
    if found["edition"] and edition is None:
        return None
    return PrintedAddress(f"{parts.scheme}://{parts.netloc}".lower(), code, edition)


def read_edition(text: str) -> Edition | None:
    """Take apart the last part of an insert's address, such as ``12.3.SV``; ``None`` for any other text."""
    found = _EDITION.fullmatch(text)
    if found is None:
        return None
    return Edition(int(found["guide"]), int(found["revision"]), found["language"].lower())
