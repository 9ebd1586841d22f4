"""Sends something to another machine: to the very address that was looked at, once, and nowhere it points to.

The name is looked up here, every answer is checked, and the connection goes to what was checked. Looked up again by a
library, the name could lead elsewhere meanwhile. Redirects are not followed, for the same reason.
"""

from __future__ import annotations

import http.client
import socket
import ssl
from collections.abc import Mapping
from typing import Final
from urllib.parse import urlsplit

from django.conf import settings

from guides.lifecycle import outside

TIMEOUT_S: Final = 10.0
_MOST_READ: Final = 64 * 1024


class NotSent(Exception):
    """It did not arrive, or was not taken; the text says why. Trying again later may help."""


class Forbidden(NotSent):
    """The name leads to a machine that is not to be sent to."""


def post(url: str, body: bytes, headers: Mapping[str, str]) -> int:
    """Send a body and give the status of the answer, 200 to 299.

    Args:
        url: https, or http where private addresses are allowed.
        body: what is sent.
        headers: beside those of the transport.

    Raises:
        Forbidden: the address, or a machine behind its name, is not a public one.
        NotSent: no connection, no answer in time, or an answer that is no success.
    """
    if reasons := outside.refusals(url, "url"):
        raise Forbidden(" ".join(str(reason) for reason in reasons))
    parts = urlsplit(url)
    host, port = str(parts.hostname), parts.port or (443 if parts.scheme == "https" else 80)
    target = (parts.path or "/") + (f"?{parts.query}" if parts.query else "")
    connection = http.client.HTTPConnection(host, port, timeout=TIMEOUT_S)
    try:
        # Handed over connected, so that the name is not looked up a second time.
        connection.sock = _connected(host, port, secure=parts.scheme == "https")
        connection.request("POST", target, body, {**headers, "Host": parts.netloc, "Connection": "close"})
        answer = connection.getresponse()
        answer.read(_MOST_READ)
    except (OSError, http.client.HTTPException) as error:
        raise NotSent(f"{type(error).__name__}: {error}") from error
    finally:
        connection.close()
    if not 200 <= answer.status < 300:
        redirected = " Redirects are not followed." if 300 <= answer.status < 400 else ""
        raise NotSent(f"It answered {answer.status}.{redirected}")
    return answer.status


def _connected(host: str, port: int, *, secure: bool) -> socket.socket:
    addresses = list(
        dict.fromkeys(str(found[4][0]) for found in socket.getaddrinfo(host, port, type=socket.SOCK_STREAM))
    )
    if not settings.WEBHOOK_PRIVATE_ADDRESSES and not all(outside.is_public(address) for address in addresses):
        raise Forbidden(f"{host} leads to a machine of a private network ({', '.join(addresses)}).")
    plain = _first_open(addresses, port)
    if not secure:
        return plain
    try:
        return ssl.create_default_context().wrap_socket(plain, server_hostname=host)
    except OSError:
        plain.close()
        raise


def _first_open(addresses: list[str], port: int) -> socket.socket:
    for address in addresses[:-1]:
        try:
            return socket.create_connection((address, port), TIMEOUT_S)
        except OSError:
            continue
    return socket.create_connection((addresses[-1], port), TIMEOUT_S)
