"""Which addresses of other machines this site sends to: public ones, unless a setting allows more.

Otherwise whoever may add a webhook could have this machine ask its own neighbours. An address is looked at when it is
added, and the machine behind its name again whenever something is sent (``jobs/outgoing.py``): a name can be led
elsewhere in between.
"""

from __future__ import annotations

from collections.abc import Iterator
from ipaddress import IPv4Address, IPv6Address, IPv6Network, ip_address
from typing import Final
from urllib.parse import urlsplit

from django.conf import settings
from django.utils.translation import gettext_lazy as _

from .errors import Refusal

_NAT64: Final = IPv6Network("64:ff9b::/96")  # RFC 6052: an IPv4 address in the last 32 bits


def refusals(url: str, field: str) -> list[Refusal]:
    """Why nothing is to be sent to an address; empty if it may be."""
    try:
        parts = urlsplit(url)
        port = parts.port
    except ValueError:
        return [Refusal(_("Address: this cannot be read. Write one such as https://shop.example/hooks."), field)]
    if parts.scheme not in ("https", "http") or not parts.hostname or not url.isascii() or " " in url or port == 0:
        return [Refusal(_("Address: write it whole, such as https://shop.example/hooks."), field)]
    found = []
    if parts.username is not None or parts.password is not None or parts.fragment:
        found.append(Refusal(_("Address: leave out names, passwords and what stands behind a #."), field))
    if settings.WEBHOOK_PRIVATE_ADDRESSES:
        return found
    if parts.scheme != "https":
        found.append(Refusal(_("Address: it must begin with https, so that nobody reads along."), field))
    if _is_inside(parts.hostname):
        found.append(
            Refusal(
                _(
                    "Address: this is a machine of a private network. Whoever runs the site can allow it with "
                    "WEBHOOK_PRIVATE_ADDRESSES."
                ),
                field,
            )
        )
    return found


def is_public(address: str) -> bool:
    """Say whether an IP address is one of the public internet, however it is written or wrapped."""
    return all(each.is_global and not each.is_multicast for each in _meant(ip_address(address.partition("%")[0])))


def _is_inside(host: str) -> bool:
    try:
        return not is_public(host)
    except ValueError:
        pass
    # Names without a point, and those that never leave a network (RFC 6761, RFC 6762, RFC 8375); the last part of a
    # name holds a letter, where 0x7f.1 and 127.1 are numbers that some resolvers read as IPv4 addresses.
    name = host.rstrip(".").lower()
    last = name.rpartition(".")[2]
    named = last.isalpha() or last.startswith("xn--")
    return "." not in name or not named or name.endswith((".localhost", ".local", ".internal", ".home.arpa"))


def _meant(address: IPv4Address | IPv6Address) -> Iterator[IPv4Address | IPv6Address]:
    """The address, and any IPv4 address that it carries."""
    yield address
    if isinstance(address, IPv6Address):
        carried = [address.ipv4_mapped, address.sixtofour, *(address.teredo or ())]
        if address in _NAT64:
            carried.append(IPv4Address(int(address) & 0xFFFFFFFF))
        yield from (each for each in carried if each is not None)
