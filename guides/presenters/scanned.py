"""What a scanner, a camera or fingers give for a bag or an insert: any address that is printed, a code, a lot's name.

A hand scanner types like a keyboard of the United States. Where the computer expects a Swedish or Finnish one, ``/``
arrives as ``-`` and ``-`` as ``+`` (layouts from memory); such texts are read as they were meant. The check character
of a code and the check digit of a GTIN keep that from guessing.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from django.utils.translation import gettext

from guides.codes import gs1
from guides.models import Lot
from guides.queries import lots

from . import addresses
from .addresses import Edition

# GS1 Digital Link URI Syntax 1.6: keys 01 and 10. A batch further on, or a consumer variant between, is not ours.
_PACK: Final = re.compile(r"/01/(?P<gtin>[0-9]{14})/10/(?P<lot>[0-9A-Z.-]{1,20})/?(?:\?.*)?", re.IGNORECASE)
_ADDRESS: Final = re.compile(r"https?.*", re.IGNORECASE)
_OTHER_KEYBOARD: Final = str.maketrans("-+", "/-")


@dataclass(frozen=True)
class Scanned:
    """``lot`` is ``None`` for what is no code of ours; ``edition`` is what an insert's own address says of its paper.

    ``is_of_bag`` is sure only of the address that bags carry: what fingers typed, and a Digital Link, may be of either.
    """

    text: str
    lot: Lot | None = None
    edition: Edition | None = None
    is_of_bag: bool = False


def read(text: str) -> Scanned:
    """Read what was scanned or typed, in either case."""
    text = text.strip()
    if not _ADDRESS.fullmatch(text):
        return Scanned(text, lots.find(text) if text else None)
    # Without a slash, an address came through another keyboard.
    meant = text if "/" in text else text.translate(_OTHER_KEYBOARD)
    path = _path(meant)
    if pack := _PACK.fullmatch(path):
        known = gs1.is_gtin14(pack["gtin"])
        return Scanned(text, lots.by_pack(pack["gtin"], pack["lot"]) if known else None)
    address = addresses.read(f"https://site{path}")
    if address is None:
        return Scanned(text)
    return Scanned(text, lots.by_code(address.code), address.edition, is_of_bag=address.edition is None)


def not_known(text: str) -> str:
    """Say that this is no code of ours, and what to do."""
    said = gettext("“%(text)s” is neither a lot name nor an address code. Scan again, or look it up under Lots.")
    return said % {"text": text}


def _path(address: str) -> str:
    """What stands behind the name of the site; the colon may have come as another character."""
    _scheme, _slashes, rest = address.partition("//")
    _site, slash, path = rest.partition("/")
    return slash + path
