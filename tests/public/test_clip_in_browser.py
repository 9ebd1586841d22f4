"""A clip in a real Chromium: nothing of it is fetched before the tap, and it plays after it, captions and all."""

from __future__ import annotations

import base64

import pytest

from guides.queries import versions
from tests.browser import Tab
from tests.factories import GuideVersionFactory, published
from tests.factories.shown import step_clip, step_picture

from . import world

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# The browser films a drawn circle for a second and a half.
_FILM = """async () => {
  const canvas = Object.assign(document.createElement("canvas"), { width: 320, height: 240 });
  const pen = canvas.getContext("2d"), parts = [];
  const recorder = new MediaRecorder(canvas.captureStream(15), { mimeType: "video/webm;codecs=vp8" });
  recorder.ondataavailable = (event) => parts.push(event.data);
  const stopped = new Promise((done) => { recorder.onstop = done; });
  recorder.start();
  for (let turn = 0; turn < 22; turn += 1) {
    pen.fillStyle = "#faf8f3"; pen.fillRect(0, 0, 320, 240);
    pen.fillStyle = "#8a3b12"; pen.beginPath();
    pen.arc(160 + 60 * Math.cos(turn / 3), 120 + 60 * Math.sin(turn / 3), 14, 0, 7); pen.fill();
    await new Promise((next) => setTimeout(next, 66));
  }
  recorder.stop(); await stopped;
  const bytes = new Uint8Array(await new Blob(parts).arrayBuffer());
  return btoa(Array.from(bytes, (byte) => String.fromCharCode(byte)).join(""));
}"""


@pytest.fixture
def guide(browser, settings, tmp_path) -> str:
    settings.MEDIA_ROOT = tmp_path
    world.roastery()
    page = browser.new_page()
    film = base64.b64decode(page.evaluate(_FILM))
    page.close()
    version = GuideVersionFactory()
    first, second = version.steps.all()[:2]
    step_clip(first, film, en="Circles from the rim inward.")
    step_picture(second, en="A wet bed.")
    published(versions.by_id(version.pk))
    return f"/en/guides/{version.guide.slug}/"


def test_nothing_is_fetched_before_the_tap_and_it_plays_after(tab: Tab, guide: str) -> None:
    asked: list[tuple[str, str | None]] = []
    tab.page.on("request", lambda request: asked.append((request.url, request.headers.get("range"))))
    tab.resize(360)
    tab.go(guide)
    tab.page.wait_for_load_state("networkidle")
    assert not [url for url, _ in asked if "/pictures/" in url or "/clips/" in url]  # folded away, not even its picture
    tab.page.locator("#step-1 summary").click()
    tab.page.locator("#step-1 img").scroll_into_view_if_needed()
    tab.page.wait_for_load_state("networkidle")
    assert not [url for url, _ in asked if "/clips/" in url]
    tab.page.locator("#step-1 a[data-clip]").click()
    assert tab.comes_true("(document.querySelector('video')?.currentTime ?? 0) > 0.3")
    shown = tab.page.evaluate(
        """() => { const clip = document.querySelector('video'), track = clip.textTracks[0];
          return [clip.textTracks.length, track.mode, clip.videoWidth, document.activeElement === clip]; }"""
    )
    assert shown == [1, "showing", 320, True]
    assert any(url.endswith(".vtt") for url, _ in asked)
    assert any(span for url, span in asked if url.endswith(".webm"))  # asked for in parts
    assert tab.quiet(), (tab.refused, tab.errors, tab.strangers)
    assert tab.axe() == []
    assert tab.overflow() == 0


def test_without_scripts_the_link_leads_to_the_clip(browser, live_server, guide: str) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(live_server.url + guide)
    page.locator("#step-1 summary").click()
    href = page.locator("#step-1 .clip a").get_attribute("href")
    answer = context.request.get(live_server.url + href, headers={"Range": "bytes=0-3"})
    assert (answer.status, answer.body()) == (206, b"\x1a\x45\xdf\xa3")
    context.close()


def test_the_page_does_not_move_when_a_picture_arrives(tab: Tab, guide: str) -> None:
    tab.page.add_init_script(
        """window.shift = 0;
        new PerformanceObserver((list) => { for (const entry of list.getEntries())
          if (!entry.hadRecentInput) window.shift += entry.value; }).observe({type: 'layout-shift', buffered: true});"""
    )
    tab.go(guide)
    tab.page.locator("#step-2 summary").click()
    tab.page.wait_for_timeout(700)
    tab.page.locator("#step-2 img").scroll_into_view_if_needed()
    assert tab.comes_true("document.querySelector('#step-2 img').naturalWidth > 0")
    tab.page.wait_for_timeout(300)
    shift = tab.page.evaluate("window.shift")
    print(f"layout shift with pictures {shift:.4f}")
    assert shift < 0.01
