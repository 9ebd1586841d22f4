"""The demo's world as a real site, behind gunicorn as ``docker-compose.yml`` starts it, and whoever asks it."""

from __future__ import annotations

import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings

from tests.commands import sites
from tests.commands.site import Site

VISITORS = 4
"""At once, for two processes of four threads each."""


class Served(Site):
    """A site with the settings of a real one that shows the demo's world."""

    @property
    def environment(self) -> dict[str, str]:
        body = self.folder / "body"
        extra = {"BARE_BODY": str(body)} if body.exists() else {}
        return {**super().environment, "DJANGO_SETTINGS_MODULE": "tests.years.settings", "DEMO": "1", **extra}


@contextmanager
def demo_site(under: Path) -> Iterator[Served]:
    """Give such a site, set up, on the kind of database that this process has."""
    site = sites.begun(under, kind=Served)
    try:
        site.must("migrate", "-v0")
        site.must("collectstatic", "--no-input", "-v0")
        site.must("seed_demo")
        yield site
    finally:
        sites.drop(site)


@dataclass
class Server:
    """Where it answers, and the processes that do."""

    port: int
    master: subprocess.Popen[bytes]

    def workers(self) -> list[int]:
        """Give the numbers of the processes that answer."""
        listed = subprocess.run(["ps", "-o", "pid=", "--ppid", str(self.master.pid)], capture_output=True, check=True)
        return sorted(map(int, listed.stdout.split()))


@contextmanager
def serving(site: Site, workers: int = 2) -> Iterator[Server]:
    """Serve a site as long as this lasts."""
    with socket.create_server(("127.0.0.1", 0)) as probe:
        port = int(probe.getsockname()[1])
    command = ["-m", "gunicorn", "roastery.wsgi", "--bind", f"127.0.0.1:{port}", "--workers", str(workers)]
    command += ["--threads", "4", "--worker-tmp-dir", "/dev/shm", "--log-level", "error"]  # noqa: S108 - as there
    master = subprocess.Popen([sys.executable, *command], cwd=settings.BASE_DIR, env=site.environment)
    try:
        until = time.monotonic() + 60
        while not _answers(port):
            assert master.poll() is None, "the web server has ended"
            assert time.monotonic() < until, "the web server does not answer"
            time.sleep(0.1)
        yield Server(port, master)
    finally:
        master.terminate()
        master.wait(30)


def _answers(port: int) -> bool:
    try:
        with Link(port) as link:
            return link.ask("/health/live").status == 200
    except OSError:
        return False


@dataclass(frozen=True)
class Answer:
    status: int
    etag: str
    body: bytes
    took_s: float


class Link:
    """A connection that stays open, as a proxy keeps it; what reads the answers costs next to nothing."""

    def __init__(self, port: int) -> None:
        self._port = port
        self._open()

    def _open(self) -> None:
        self._socket = socket.create_connection(("127.0.0.1", self._port), timeout=60)
        self._socket.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)

    def __enter__(self) -> Link:
        return self

    def __exit__(self, *_what: object) -> None:
        self._socket.close()

    def ask(self, path: str, etag: str = "", *, cookie: str = "") -> Answer:
        """Ask as a phone does, through a proxy with TLS."""
        lines = [
            f"GET {path} HTTP/1.1",
            "Host: guides.example",
            "X-Forwarded-For: 203.0.113.7",
            "X-Forwarded-Proto: https",
            "Accept-Encoding: gzip",
            "Accept-Language: en",
            *([f"If-None-Match: {etag}"] if etag else []),
            *([f"Cookie: {cookie}"] if cookie else []),
        ]
        began = time.perf_counter()
        self._socket.sendall("\r\n".join([*lines, "", ""]).encode())
        head, _end, rest = self._until(b"\r\n\r\n").partition(b"\r\n\r\n")
        status, *named = head.decode("latin-1").split("\r\n")
        headers = {name.lower(): value for name, _colon, value in (line.partition(": ") for line in named)}
        rest += self._exactly(int(headers.get("content-length", "0")) - len(rest))
        took = time.perf_counter() - began
        if headers.get("connection") == "close":
            self._socket.close()
            self._open()
        return Answer(int(status.split()[1]), headers.get("etag", ""), rest, took)

    def _until(self, mark: bytes) -> bytes:
        got = b""
        while mark not in got:
            got += self._some()
        return got

    def _exactly(self, count: int) -> bytes:
        got = b""
        while len(got) < count:
            got += self._some()
        return got

    def _some(self) -> bytes:
        some = self._socket.recv(65536)
        if not some:
            raise ConnectionError("the server has hung up")
        return some


def burst(port: int, count: int, ask: Callable[[Link], Answer]) -> tuple[float, list[Answer]]:
    """Let several visitors ask so many times between them; give the seconds it took and the answers."""
    answers: list[Answer] = []
    start = threading.Barrier(VISITORS + 1)

    def visitor() -> None:
        with Link(port) as link:
            start.wait()
            for _time in range(count // VISITORS):
                answers.append(ask(link))

    threads = [threading.Thread(target=visitor) for _visitor in range(VISITORS)]
    for thread in threads:
        thread.start()
    start.wait()
    began = time.perf_counter()
    for thread in threads:
        thread.join()
    return time.perf_counter() - began, answers
