"""The cable between a browser and the site under test, which a test can pull.

A browser that is told to be offline does not always tell its service worker; with the cable pulled nobody gets through.
"""

from __future__ import annotations

import contextlib
import socket
import threading
from typing import Self
from urllib.parse import urlsplit


class Cable:
    """Passes everything on to a site, from an address of its own, until it is pulled."""

    def __init__(self, site: str) -> None:
        address = urlsplit(site)
        self._site = (address.hostname or "localhost", address.port or 80)
        self._open: list[socket.socket] = []
        self._listener = socket.create_server(("localhost", 0))
        self.home = f"http://localhost:{self._listener.getsockname()[1]}"
        threading.Thread(target=self._accept, daemon=True).start()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_error: object) -> None:
        self.pull()

    def pull(self) -> None:
        """End what is under way and take nothing more."""
        for end in [self._listener, *self._open]:
            # Closing alone leaves a thread waiting in accept or recv.
            with contextlib.suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)
            end.close()

    def _accept(self) -> None:
        while True:
            try:
                browser, _address = self._listener.accept()
                site = socket.create_connection(self._site)
            except OSError:
                return
            self._open += [browser, site]
            for source, sink in ((browser, site), (site, browser)):
                threading.Thread(target=_pass, args=(source, sink), daemon=True).start()


def _pass(source: socket.socket, sink: socket.socket) -> None:
    try:
        while data := source.recv(65536):
            sink.sendall(data)
        sink.shutdown(socket.SHUT_WR)
    except OSError:
        return
