"""Public pages in WebKit, the engine of iPhones: a smoke test of what is most likely to differ from Chromium.

Not shown by it: a phone's own touch, sound, screen lock and home screen.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from tests import webkit
from tests.factories import ValveVersionFactory

from . import world
from .test_in_browser import addresses

__all__ = ["addresses"]

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
OVERFLOW = "document.documentElement.scrollWidth - window.innerWidth"


@pytest.fixture(scope="module")
def started(tmp_path_factory: Any) -> Iterator[webkit.WebKit]:
    folder = tmp_path_factory.mktemp("webkit")
    folder.chmod(0o700)
    with webkit.launched(str(folder)) as window:
        yield window


@pytest.fixture
def window(started, live_server) -> webkit.WebKit:
    started.home = live_server.url
    return started


def test_every_page_is_laid_out_and_styled(window, addresses):
    for name, address in addresses.items():
        window.go(address)
        window.run("document.querySelectorAll('details').forEach((fold) => { fold.open = true; })")
        assert window.run(OVERFLOW) <= 0, name
        assert window.text("h1, .word"), name
        assert window.run("getComputedStyle(document.body).fontFamily").startswith("Hyperlegible"), name
    window.until("[...document.fonts].some((face) => face.status === 'loaded')")


def test_a_brew_is_started_followed_and_put_right(window):
    world.roastery()
    guide = world.published(ValveVersionFactory())
    window.go(f"/en/guides/{guide.guide.slug}/?size=2")
    assert "was" in window.text(".hero .dose")
    window.go(f"/en/guides/{guide.guide.slug}/")
    window.click(".brew-link a")
    window.until("document.querySelector('#brew.live')")
    window.click(".checks input")
    window.click("[data-part=start]")
    window.until("document.querySelector('[data-part=clock]').textContent > '0:00'")
    assert "60 g" in window.text(".row.now")
    assert window.run("document.documentElement.scrollHeight - window.innerHeight") <= 0
    window.click("[data-part=over]")
    window.click("[data-part=readings] button")
    assert window.text("[data-part=said]")
    window.go(f"/en/guides/{guide.guide.slug}/brew/")
    window.until("document.querySelector('#brew').dataset.stage === 'brew'")  # a page loaded again goes on
    window.click("[data-part=more]")
    window.click("[data-part=more-dialog] [lang=fi]")
    window.until("location.pathname.startsWith('/fi/') && document.querySelector('#brew').dataset.stage === 'brew'")


def test_gear_is_kept_on_the_phone(window):
    world.roastery()
    guide = world.published(ValveVersionFactory())
    window.go(f"/en/guides/{guide.guide.slug}/?form=1")
    window.run("document.querySelector('[name=altitude]').value = '1480'")
    window.click("form.yours button:not([type=button])")
    window.until("location.search === '?altitude=1480'")
    window.go(f"/en/guides/{guide.guide.slug}/")
    window.until(
        "[...document.querySelectorAll('a')].some((link) => link.search === '?altitude=1480' && link.offsetParent)"
    )
