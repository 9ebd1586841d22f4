"""What stays on the phone: the worker and the home screen's card as they are sent, and a brew without network.

Outside check: W3C Web Application Manifest (names of members), the browser's own service worker.
"""

from __future__ import annotations

import io
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.contrib.staticfiles import finders
from PIL import Image

from guides.lifecycle import recall
from tests.browser import Tab
from tests.factories import ValveVersionFactory, published
from tests.network import Cable

from . import world

browser_test = pytest.mark.browser
pytestmark = pytest.mark.django_db(transaction=True)


def told(script: str) -> dict[str, Any]:
    return dict(json.loads(script.split("\n", 1)[0].removeprefix("self.offline = ").removesuffix(";")))


def test_the_worker_is_asked_for_again_and_keeps_the_policy(client):
    world.roastery()
    answer = client.get("/sw.js")
    assert answer.headers["Content-Type"].startswith("text/javascript")
    assert answer.headers["Cache-Control"] == "no-cache"
    assert "connect-src 'self'" in answer.headers["Content-Security-Policy"]
    assert not answer.cookies


def test_the_worker_names_files_that_are_there_and_changes_with_its_words(client):
    world.roastery(languages=["en"])
    first = told(client.get("/sw.js").content.decode())
    for address in first["files"]:
        assert finders.find(address.removeprefix(settings.STATIC_URL)), address
    house = world.Roastery.objects.get()
    house.languages = ["en", "fi"]
    house.save()
    assert told(client.get("/sw.js").content.decode())["version"] != first["version"]


@pytest.mark.parametrize(
    ("path", "may"),
    [
        ("/L/7K2M9QX4", True),
        ("/L/7K2M9QX4/1.2.EN", True),
        ("/L/7K2M9QX4/1.2.EN/brew", True),
        ("/en/guides/rope-walk/", True),
        ("/fi/guides/rope-walk/brew/", True),
        ("/en/coffees/rope-walk/", True),
        ("/en/", True),
        ("/admin/", False),
        ("/admin/guides/lot/", False),
        ("/en/guides/rope-walk/ask/", False),
        ("/L/7K2M9QX4/1.2.EN/ask", False),
        ("/en/guides/rope-walk/brew/sent/", False),
        ("/api/v1/lots/", False),
        ("/de/guides/rope-walk/", False),
    ],
)
def test_only_pages_to_read_and_to_brew_from_may_be_kept(client, path, may):
    world.roastery()
    kept = told(client.get("/sw.js").content.decode())["kept"]
    assert any(re.search(pattern, path) for pattern in kept) is may


def test_it_can_be_taken_off_every_phone(client, settings):
    world.roastery()
    settings.OFFLINE = False
    script = client.get("/sw.js").content.decode()
    assert "unregister" in script
    assert "fetch" not in script


def test_the_home_screens_card(client):
    world.roastery()
    card = client.get("/manifest.webmanifest").json()
    assert (card["name"], card["start_url"], card["scope"]) == ("Mossgull Roasting Room", "/", "/")
    for icon in card["icons"]:
        path = Path(str(finders.find(icon["src"].removeprefix(settings.STATIC_URL))))
        with Image.open(io.BytesIO(path.read_bytes())) as image:
            assert f"{image.width}x{image.height}" == icon["sizes"]
    assert 'rel="manifest"' in client.get("/en/").content.decode()


@pytest.fixture
def bag() -> dict[str, Any]:
    world.roastery()
    lot, code = world.bag()
    version = published(ValveVersionFactory(guide__coffee=lot.coffee))
    world.assign(lot, version.guide, by=world.boss())
    return {"lot": lot, "path": f"/L/{code}/{version.guide.number}.1.EN"}


def kept(tab: Tab, path: str) -> None:
    """Wait until the phone keeps a page."""
    until(tab, f"navigator.serviceWorker.controller && await caches.match({path!r})")


def until(tab: Tab, promised: str) -> None:
    """Wait for something that a script has to await."""
    tab.page.evaluate(f"""async () => {{
        while (!({promised})) {{ await new Promise((again) => {{ setTimeout(again, 50); }}); }}
    }}""")


@pytest.fixture
def cable(tab: Tab) -> Iterator[Cable]:
    """The tab's only way to the site."""
    with Cable(tab.home) as laid:
        tab.home = laid.home
        yield laid


@browser_test
def test_a_whole_brew_without_network_after_the_first_open(tab, cable, bag):
    tab.resize(360, 640)
    tab.go(bag["path"] + "?dose=12")
    kept(tab, bag["path"] + "/brew?dose=12")
    cable.pull()
    tab.go(bag["path"] + "?dose=12")
    note = " ".join(tab.page.inner_text(".kept-copy").split())
    assert "copy from" in note
    assert "called back since" in note
    tab.page.click("text=Brew it now")
    tab.page.wait_for_selector("#brew .start-bar")
    assert "copy from" in tab.page.inner_text(".kept-copy")
    tab.page.click("[data-part=start]")
    assert "48\N{NO-BREAK SPACE}g" in tab.page.inner_text(".row.now")  # 60 g at 12 g instead of 15
    for _row in range(7):
        tab.page.wait_for_function(
            "!document.querySelector('.row.now') || document.querySelector('[data-part=main]').textContent !== ''"
        )
        tab.page.evaluate("""() => {
            const key = Object.keys(localStorage).find((each) => each.startsWith('brew:'));
            const brew = JSON.parse(localStorage.getItem(key));
            brew.started -= 45000;
            localStorage.setItem(key, JSON.stringify(brew));
        }""")
        tab.page.reload()
        if tab.page.get_attribute("#brew", "data-stage") == "after":
            break
        if tab.page.get_attribute("[data-part=main]", "aria-disabled") != "true":
            tab.page.click("[data-part=main]")
    tab.page.wait_for_selector("#brew[data-stage=after]")
    assert tab.page.evaluate("[...document.fonts].some((face) => face.status === 'loaded')")
    assert tab.errors == []


@browser_test
def test_a_recall_shows_at_the_next_look_and_stays(tab, cable, bag):
    tab.go(bag["path"])
    kept(tab, bag["path"] + "/brew")
    recall.recall(bag["lot"], by=world.boss(), reason="A screw is missing.")
    tab.page.reload()
    assert "A screw is missing" in tab.page.inner_text("main")
    tab.go(bag["path"] + "/brew")
    assert "A screw is missing" in tab.page.inner_text("main")
    kept(tab, bag["path"])
    cable.pull()
    tab.go(bag["path"])
    assert "A screw is missing" in tab.page.inner_text("main")
    tab.go(bag["path"] + "/brew")
    assert "not kept on this phone" in tab.page.inner_text("h1")  # the brewing page of a recalled bag is forgotten


@browser_test
def test_control_without_the_worker_there_is_nothing(tab, cable, bag, settings):
    settings.OFFLINE = False
    tab.go(bag["path"])
    tab.page.wait_for_timeout(500)
    cable.pull()
    with pytest.raises(Exception, match="ERR_CONNECTION_REFUSED"):
        tab.page.reload()


@browser_test
def test_a_withdrawn_worker_leaves_and_forgets(tab, bag, settings):
    tab.go(bag["path"])
    kept(tab, bag["path"])
    settings.OFFLINE = False
    tab.page.evaluate("navigator.serviceWorker.ready.then((registration) => registration.update())")
    until(tab, "(await navigator.serviceWorker.getRegistrations()).length + (await caches.keys()).length === 0")
