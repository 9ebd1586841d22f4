"""A brewing page in a browser, on a clock that stands still unless a test moves it."""

from __future__ import annotations

import datetime
from typing import Final

import pytest

from guides.models import GuideVersion
from tests.browser import Tab
from tests.factories import ValveVersionFactory, published

from . import world

LOADED: Final = datetime.datetime(2026, 4, 11, 7, 30, tzinfo=datetime.UTC)
FINGER_S: Final = 0.45
"""A finger does not come back sooner."""


class Brew:
    """The brewing page of a guide. ``at_s`` is the second of the brew, or of the page before it was started.

    The valve guide: 60 g by 0:12, 120 g by 1:00, stir 1:05, open 1:15, 180 g by 1:45.
    """

    def __init__(self, tab: Tab, path: str) -> None:
        self.tab, self.page, self.path, self.at_s = tab, tab.page, path, 0.0
        # Stopped before the page is there: however slow the machine, no second passes that a test did not ask for.
        self.page.clock.install(time=LOADED)
        self.page.clock.pause_at(LOADED + datetime.timedelta(minutes=1))
        self.page.add_init_script(
            "window.heard = []; document.addEventListener('brewcue', (cue) => window.heard.push(cue.detail));"
        )
        tab.go(path)

    def tap(self, part: str) -> None:
        self.page.click(f"[data-part={part}]")
        if part == "start":
            self.at_s = 0.0
        self.run(FINGER_S)

    def run(self, seconds: float) -> None:
        """Let the clock run for so long."""
        self.page.clock.run_for(round(1000 * seconds))
        self.at_s += seconds

    def until(self, second: float) -> None:
        """Let the clock run to a second of the brew."""
        assert second >= self.at_s
        self.run(second - self.at_s)

    def sleep(self, seconds: float) -> None:
        """Let so much time pass without anything ticking, as on a locked phone."""
        self.page.clock.fast_forward(round(1000 * seconds))
        self.at_s += seconds

    def flow(self) -> None:
        """From now on let the clock go on by itself, for what waits on the page's own timers, as axe does."""
        self.page.clock.resume()

    def text(self, part: str) -> str:
        return " ".join(self.page.inner_text(f"[data-part={part}]").split())

    def row(self, number: int) -> str:
        return " ".join(self.page.inner_text(f"[data-row='{number}']").split())

    def present(self) -> int:
        return int(self.page.get_attribute(".row.now", "data-row") or -1)

    def stage(self) -> str:
        return str(self.page.get_attribute("#brew", "data-stage"))


@pytest.fixture
def guide() -> GuideVersion:
    """The valve guide, published."""
    world.roastery()
    return published(ValveVersionFactory())
