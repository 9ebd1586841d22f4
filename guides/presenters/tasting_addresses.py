"""Addresses by which tasters come to a tasting and back to their place: signed, so that no cookie is needed.

    482913-K7M2QW3XD5BR       the tasting, to join
    482913-7-P4T6VN2JH8GA     place 7 of it

All capitals and digits, so that a code on the table holds them; read in either case.
"""

from __future__ import annotations

import base64
import re
from typing import Final

from django.conf import settings
from django.utils.crypto import constant_time_compare, salted_hmac

_SIGNED: Final = 12
"""Characters of the signature; 60 bits."""
_TOKEN = re.compile(r"(?P<number>[1-9][0-9]{5})(?:-(?P<seat>[1-9][0-9]?))?-(?P<signature>[A-Z2-7]{12})")


def token(number: str, seat: int | None = None) -> str:
    """Give the signed part of an address: of a tasting, or of one place at it."""
    what = number if seat is None else f"{number}-{seat}"
    return f"{what}-{_signature(what, settings.SECRET_KEY)}"


def read(text: str) -> tuple[str, int | None] | None:
    """Give number and place of a signed part; ``None`` for any that was not signed here."""
    found = _TOKEN.fullmatch(text.upper())
    if found is None:
        return None
    what = found[0].rpartition("-")[0]
    keys = (settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS)
    if not any(constant_time_compare(found["signature"], _signature(what, key)) for key in keys):
        return None
    return found["number"], int(found["seat"]) if found["seat"] else None


def printed(number: str) -> str:
    """Give the whole address that the code on the table says."""
    return f"{settings.PUBLIC_BASE_URL}/t/{token(number)}".upper()


def _signature(what: str, key: str) -> str:
    digest = salted_hmac("guides.tasting", what, secret=key, algorithm="sha256").digest()
    return base64.b32encode(digest).decode()[:_SIGNED]
