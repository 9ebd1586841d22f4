"""A real Chromium for tests: what it shows, what it was refused, and what axe finds."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, sync_playwright

from roastery.machine import chromium

_ARGUMENTS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
PATIENCE_S = 30
"""So long something may take to come true, however busy the machine is."""
_LISTEN = """
document.addEventListener("securitypolicyviolation", (event) => {
  window.tellTest(`${event.effectiveDirective} ${event.blockedURI} ${event.sample}`);
});
"""


@dataclass
class Tab:
    """A page with a notebook: ``refused`` by the content policy, script ``errors``, requests to ``strangers``."""

    page: Page
    home: str
    refused: list[str] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)
    strangers: list[str] = field(default_factory=list)

    scripts: bool = True

    def __post_init__(self) -> None:
        if self.scripts:
            self.page.expose_function("tellTest", lambda refusal: self.refused.append(refusal))
            self.page.add_init_script(_LISTEN)
        self.page.on("pageerror", lambda error: self.errors.append(str(error)))
        self.page.on("request", lambda request: self._notice(request.url))

    def _notice(self, url: str) -> None:
        if not url.startswith((self.home, "data:", "blob:", "about:")):
            self.strangers.append(url)

    def go(self, path: str) -> Any:
        return self.page.goto(self.home + path)

    def resize(self, width: int, height: int = 800) -> None:
        self.page.set_viewport_size({"width": width, "height": height})

    def comes_true(self, condition: str | Callable[[], object]) -> bool:
        """Look again and again, at an expression on the page or at what the tab has noticed, until it is so."""
        ends = time.monotonic() + PATIENCE_S
        while not (self.page.evaluate(condition) if isinstance(condition, str) else condition()):
            if time.monotonic() > ends:
                return False
            self.page.wait_for_timeout(50)  # the policy lets no page wait by itself on words it would have to run
        return True

    def overflow(self) -> int:
        """CSS pixels by which the page is wider than the window."""
        return int(self.page.evaluate("document.documentElement.scrollWidth - window.innerWidth"))

    def quiet(self) -> bool:
        """Nothing refused, no script error, nobody else asked. Ask before axe, which styles the page inline."""
        return not (self.refused or self.errors or self.strangers)

    def axe(self) -> list[str]:
        """Rules of axe that the page breaks, each with the first element that does."""
        found = Axe().run(self.page).response["violations"]
        return [f"{rule['id']}: {rule['nodes'][0]['html'][:200]}" for rule in found]


@contextmanager
def launched() -> Iterator[Browser]:
    """Start Chromium and end it afterwards."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium(), args=list(_ARGUMENTS))
        yield browser
        browser.close()


@contextmanager
def filming(browser: Browser, film: Path) -> Iterator[Browser]:
    """Start a second Chromium whose camera shows a film (Motion JPEG), over and over."""
    camera = ("--use-fake-device-for-media-stream", f"--use-file-for-fake-video-capture={film}")
    started = browser.browser_type.launch(executable_path=chromium(), args=[*_ARGUMENTS, *camera])
    yield started
    started.close()
