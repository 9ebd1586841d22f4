"""A real WebKit for tests: GTK's build of the engine that every browser on an iPhone stands on.

Driven over HTTP by the W3C WebDriver protocol (the Recommendation's names of commands). It has no way to run without
a display, so it gets one of its own that nobody sees.
"""

from __future__ import annotations

import json
import os
import shutil
import socket
import subprocess
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, Final
from urllib.error import HTTPError, URLError

PATIENCE_S: Final = 60
"""So long a page may take to come to a state, however busy the machine is."""
_ELEMENT: Final = "element-6066-11e4-a52e-4f735466cecf"
_STARTS: Final = 3
_opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))


@dataclass
class WebKit:
    """One window. ``home`` is the site that paths belong to."""

    session: str
    home: str = ""

    def go(self, path: str) -> None:
        """Open a page and wait until it is loaded."""
        _call("POST", f"{self.session}/url", {"url": self.home + path})

    def run(self, script: str) -> Any:
        """Give the value of an expression on the page."""
        return _call("POST", f"{self.session}/execute/sync", {"script": f"return {script}", "args": []})

    def text(self, selector: str) -> str:
        return " ".join(str(self.run(f"document.querySelector({selector!r}).innerText")).split())

    def click(self, selector: str) -> None:
        """Press an element as a finger would: it must be there and in reach."""
        self.run(f"document.querySelector({selector!r}).scrollIntoView({{block: 'center', behavior: 'instant'}})")
        found = _call("POST", f"{self.session}/element", {"using": "css selector", "value": selector})
        _call("POST", f"{self.session}/element/{found[_ELEMENT]}/click", {})

    def until(self, condition: str) -> None:
        """Wait until an expression on the page is true."""
        ends = time.monotonic() + PATIENCE_S
        while not self.run(condition):
            assert time.monotonic() < ends, f"never came true: {condition}"
            time.sleep(0.05)


@contextmanager
def launched(folder: str) -> Iterator[WebKit]:
    """Start WebKit on a display of its own and end both afterwards.

    Args:
        folder: where it may leave what a browser leaves at home.
    """
    with _display() as display, _driver(display, folder) as address:
        made = _call("POST", f"{address}/session", {"capabilities": {"alwaysMatch": {}}})
        session = f"{address}/session/{made['sessionId']}"
        try:
            # As narrow as the engine's own window gets.
            _call("POST", f"{session}/window/rect", {"width": 390, "height": 780})
            yield WebKit(session)
        finally:
            _call("DELETE", session)


@contextmanager
def _display() -> Iterator[str]:
    screen = ["Xvfb", "-displayfd", "1", "-screen", "0", "1280x1024x24", "-nolisten", "tcp"]
    with subprocess.Popen(screen, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL) as server:
        try:
            assert server.stdout is not None
            yield f":{int(server.stdout.readline())}"
        finally:
            server.terminate()


@contextmanager
def _driver(display: str, folder: str) -> Iterator[str]:
    """Start the driver; on another port where somebody was quicker to take the one it was given."""
    env = {**os.environ, "DISPLAY": display, "GDK_BACKEND": "x11", "NO_AT_BRIDGE": "1", "HOME": folder}
    env |= {"XDG_CACHE_HOME": folder, "XDG_DATA_HOME": folder, "XDG_CONFIG_HOME": folder, "XDG_RUNTIME_DIR": folder}
    program = str(shutil.which("WebKitWebDriver"))
    for _attempt in range(_STARTS):
        port = _free_port()
        command = [program, "--host=127.0.0.1", f"--port={port}"]
        with subprocess.Popen(command, env=env, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as driver:
            try:
                if _answers(driver, f"http://127.0.0.1:{port}"):
                    yield f"http://127.0.0.1:{port}"
                    return
            finally:
                driver.terminate()
    raise AssertionError("WebKit's driver does not start")


def _answers(driver: subprocess.Popen[bytes], address: str) -> bool:
    ends = time.monotonic() + PATIENCE_S
    while driver.poll() is None and time.monotonic() < ends:
        try:
            _call("GET", f"{address}/status")
        except URLError:
            time.sleep(0.05)
        else:
            return True
    return False


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def _call(method: str, url: str, body: dict[str, Any] | None = None) -> Any:
    data = None if body is None else json.dumps(body).encode()
    request = urllib.request.Request(url, data, {"Content-Type": "application/json"}, method=method)  # noqa: S310 - ours
    try:
        with _opener.open(request, timeout=2 * PATIENCE_S) as response:
            return json.load(response)["value"]
    except HTTPError as refused:
        raise AssertionError(refused.read().decode()) from refused
