"""GS1 Digital Link URIs of trade items, taken apart (GS1 Digital Link Standard: URI Syntax, 1.6).

A pack is named by ``/01/<gtin>``, and more closely by qualifiers behind it, in this order: 22 (variant), 10 (lot) and
21 (serial number). Whatever else an address carries behind its question mark describes the pack and is not looked at.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final
from urllib.parse import parse_qsl, unquote

from . import gs1

_GTIN: Final = "01"
_QUALIFIERS: Final = {"22": "variant", "10": "lot", "21": "serial"}
# Characters of GS1 AI encodable character set 82 (GS1 General Specifications, figure 7.11-1).
_VALUE: Final = re.compile(r'[!"%-?A-Z_a-z]{1,20}')
_ENCODED: Final = re.compile(r"(?:[^%]|%[0-9A-Fa-f]{2})*")


class BadLink(ValueError):
    """An address that is no Digital Link of a pack; the text says why."""


@dataclass(frozen=True)
class PackLink:
    """What an address names: a GTIN in 14 digits, and qualifiers, empty where there are none."""

    gtin: str
    variant: str = ""
    lot: str = ""
    serial: str = ""


def parse(path: str, query: str = "") -> PackLink:
    """Take an address apart.

    Args:
        path: as it was sent, percent-encoded, from ``/01/`` on.
        query: what stands behind the question mark.

    Raises:
        BadLink: it breaks the syntax.

    >>> parse("/01/09520123456788/10/ABC1").lot
    'ABC1'
    """
    parts = [_decoded(part) for part in path.removeprefix("/").split("/")]
    if len(parts) % 2:
        raise BadLink("Every key of an address is followed by its value.")
    (key, gtin), *pairs = zip(parts[::2], parts[1::2], strict=True)
    if key != _GTIN or not gs1.is_gtin14(gtin):
        raise BadLink("A pack is named by /01/ and its GTIN in 14 digits with a fitting check digit.")
    _check_order([name for name, _value in pairs])
    _check_query([name for name, _value in parse_qsl(query, keep_blank_values=True)])
    for name, value in pairs:
        if not _VALUE.fullmatch(value):
            raise BadLink(f"The value of key {name} is 1 to 20 letters, digits or signs that GS1 allows.")
    return PackLink(gtin, **{_QUALIFIERS[name]: value for name, value in pairs})


def _decoded(part: str) -> str:
    if not _ENCODED.fullmatch(part):
        raise BadLink("A percent sign in an address is followed by two hexadecimal digits.")
    return unquote(part, errors="replace")


def _check_order(names: list[str]) -> None:
    known = list(_QUALIFIERS)
    if any(name not in known for name in names):
        raise BadLink(f"Behind a GTIN come the keys {', '.join(known)} and no others.")
    places = [known.index(name) for name in names]
    if places != sorted(set(places)):
        raise BadLink(f"The keys {', '.join(known)} come in this order, each once.")


def _check_query(names: list[str]) -> None:
    if {_GTIN, *_QUALIFIERS} & set(names):
        raise BadLink("What names a pack stands in the path of its address, not behind the question mark.")
    keys = [name for name in names if name.isdigit()]
    if len(keys) != len(set(keys)):
        raise BadLink("A key stands in an address once.")
