"""How often one sender may do something: counted in the database, exact over every process of the site.

A sender is an address of the network, and behind the same address there may be a whole office; a limit therefore stops
floods and not people. The address itself is not kept: a row holds a keyed hash of it that is another one every day.
"""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from ipaddress import IPv6Address, ip_address, ip_network
from typing import Final

from django.db.models import F
from django.utils import timezone
from django.utils.crypto import salted_hmac

from guides.models import RequestCount

_SECONDS: Final = {"min": 60, "hour": 3600, "day": 86_400}
_SLACK: Final = datetime.timedelta(minutes=1)  # processes of a site may disagree on the time by this much


@dataclass(frozen=True)
class Rate:
    """So many times in a stretch of so many seconds; stretches follow the clock, in UTC."""

    times: int
    seconds: int

    @classmethod
    def parse(cls, text: str) -> Rate:
        """Read a rate such as "30/min".

        Raises:
            ValueError: not a whole number above zero, a slash, and min, hour or day.
        """
        times, _slash, stretch = text.partition("/")
        if not times.isdecimal() or int(times) < 1 or stretch not in _SECONDS:
            raise ValueError(f"{text!r} is no rate; write one such as 30/min, 20/hour or 100/day.")
        return cls(int(times), _SECONDS[stretch])


class TooMany(Exception):
    """The limit is reached. ``retry_after_s`` is how long until it is open again, in whole seconds from 1."""

    def __init__(self, retry_after_s: int) -> None:
        self.retry_after_s = retry_after_s
        super().__init__(f"Again in {retry_after_s} s.")


def count(rate: Rate, act: str, address: str) -> None:
    """Count one more time, unless the limit is reached. Call outside a transaction that may be taken back.

    Args:
        rate: how often.
        act: what is counted; up to 40 characters.
        address: the client's, as ``REMOTE_ADDR`` has it behind ``roastery.client_address``.

    Raises:
        TooMany: the limit was reached before this.
    """
    now = timezone.now()
    passed_s = int(now.timestamp()) % rate.seconds
    began_at = now.replace(microsecond=0) - datetime.timedelta(seconds=passed_s)
    row, made = RequestCount.objects.get_or_create(
        act=act,
        client=_client(address, began_at.date()),
        began_at=began_at,
        ends_at=began_at + datetime.timedelta(seconds=rate.seconds),
    )
    # One statement looks and counts: between two, another process could do the same.
    if not RequestCount.objects.filter(pk=row.pk, times__lt=rate.times).update(times=F("times") + 1):
        raise TooMany(rate.seconds - passed_s)
    if made:
        sweep()


def sweep() -> int:
    """Delete the counts of stretches that have passed; give how many."""
    return RequestCount.objects.filter(ends_at__lt=timezone.now() - _SLACK).delete()[0]


def _client(address: str, day: datetime.date) -> str:
    return salted_hmac(f"guides.rate_limit {day}", _network(address), algorithm="sha256").hexdigest()[:32]


def _network(address: str) -> str:
    """The address, or of IPv6 the network that one household or phone is given whole."""
    try:
        found = ip_address(address)
    except ValueError:
        return address
    if isinstance(found, IPv6Address):
        return str(found.ipv4_mapped or ip_network((found, 64), strict=False))
    return str(found)
