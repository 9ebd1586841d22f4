"""A guide's card in somebody else's page, in a real Chromium: it is shown there, and no other page of ours is.

Outside source: CSP Level 3, 6.4.2 (frame-ancestors) as the browser itself holds it. Machines of
the same network may be framed by each other, so the shop is one of them: a browser stops others before it asks us.
"""

from __future__ import annotations

import html
import re
import threading
from collections.abc import Iterator
from dataclasses import dataclass
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

import pytest
from playwright.sync_api import Route

from guides.models import Guide, GuideVersion
from tests.admin.addresses import change
from tests.admin.conftest import at_desk  # noqa: F401 - a fixture
from tests.browser import Tab

from . import world

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
PAGE = '<!doctype html><html lang="en"><title>A shop</title><main><h1>Our coffee</h1>{frame}</main></html>'


@dataclass
class Shop:
    """A page of somebody else's, on another site: the same machine under another name."""

    url: str = ""
    frame: str = ""


@pytest.fixture
def shop() -> Iterator[Shop]:
    told = Shop()

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            body = PAGE.format(frame=told.frame).encode()
            self.send_response(200)
            self.send_header("Content-Type", "text/html; charset=utf-8")
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, *_args: object) -> None:
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    told.url = f"http://127.0.0.1:{server.server_port}/"
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.01})
    thread.start()
    yield told
    server.shutdown()
    thread.join()
    server.server_close()


@pytest.fixture
def printed(settings, live_server) -> GuideVersion:
    settings.PUBLIC_BASE_URL = live_server.url
    world.roastery()
    lot, _code = world.bag()
    return world.guide_for(lot)


@pytest.fixture
def frame(printed: GuideVersion, at_desk) -> str:  # noqa: F811
    """What the desk has ready to copy, in English."""
    shown = at_desk(role="shop").get(change(Guide.objects.get())).content.decode()
    frames = [html.unescape(found) for found in re.findall(r"&lt;iframe .*?&lt;/iframe&gt;", shown)]
    return next(found for found in frames if "/en/" in found)


def shown_in(tab: Tab, shop: Shop, frame: str) -> str:
    """Paste a frame into the shop's page; give its words, or why the browser shows nothing."""
    failed: list[str] = []
    tab.page.on("requestfailed", lambda request: failed.append(str(request.failure)))
    shop.frame = frame
    tab.page.goto(shop.url)
    (inner,) = tab.page.main_frame.child_frames
    assert tab.comes_true(lambda: inner.url not in ("", "about:blank"))
    if inner.url.startswith("chrome-error:"):
        return failed[0]
    inner.wait_for_load_state("load")
    return str(inner.evaluate("document.body.innerText"))


@pytest.mark.parametrize("width", [360, 1280])
def test_what_is_pasted_into_a_shop_shows_the_guide(
    tab: Tab, shop: Shop, printed: GuideVersion, frame: str, width: int
) -> None:
    tab.resize(width)
    words = shown_in(tab, shop, frame)
    assert printed.title in words
    assert len(re.findall(r"\d:\d\d", words)) >= 3, words
    assert tab.page.locator("iframe").get_attribute("title") == printed.title
    assert tab.errors == []
    assert tab.refused == []


@pytest.mark.parametrize("path", ["/en/", "/en/guides/{slug}/", "/en/api/", "/admin/login/"])
def test_no_other_page_of_ours_stands_in_a_frame(
    tab: Tab, shop: Shop, printed: GuideVersion, live_server, path: str
) -> None:
    address = live_server.url + path.format(slug=printed.guide.slug)
    assert shown_in(tab, shop, f'<iframe src="{address}"></iframe>') == "net::ERR_BLOCKED_BY_RESPONSE"


def test_control_the_same_page_without_its_policy_would_be_shown(
    tab: Tab, shop: Shop, printed: GuideVersion, live_server
) -> None:
    address = f"{live_server.url}/en/guides/{printed.guide.slug}/"

    def without_policy(route: Route) -> None:
        answer = route.fetch()
        policies = ("content-security-policy", "x-frame-options")
        route.fulfill(response=answer, headers={name: value for name, value in answer.headers.items()
                                                if name.lower() not in policies})  # fmt: skip

    tab.page.route(address, without_policy)
    assert printed.title in shown_in(tab, shop, f'<iframe src="{address}"></iframe>')
