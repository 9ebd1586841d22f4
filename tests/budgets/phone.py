"""A slow phone opens the demo: bytes of a first visit, when the largest thing stands, what moves, taps to the pour.

Throttled as stated: 150 ms round trip, 1.6 Mbit/s down, processor four times slower (Chrome DevTools Protocol:
Network.emulateNetworkConditions, Emulation.setCPUThrottlingRate).
"""

from __future__ import annotations

from collections.abc import Iterator

from playwright.sync_api import Browser

from tests.benchmarks.measuring import Line
from tests.browser import launched

VISIT = 60 * 1024
LCP_MS = 1500
TAPS = 3
_DOWN = 1_600_000 / 8
_WATCH = """
window.seen = {lcp: 0, cls: 0};
new PerformanceObserver((list) => { for (const entry of list.getEntries()) window.seen.lcp = entry.startTime; })
  .observe({type: 'largest-contentful-paint', buffered: true});
new PerformanceObserver((list) => { for (const entry of list.getEntries()) window.seen.cls += entry.value; })
  .observe({type: 'layout-shift', buffered: true});
"""


def run(home: str, pages: dict[str, str]) -> Iterator[Line]:
    """Open the heaviest lot page and the heaviest guide page as a first visitor."""
    from tests.budgets.sizes import fetch

    with launched() as browser:
        for kind in ("lot ", "guide "):
            name = max(
                (name for name in pages if name.startswith(kind)), key=lambda name: len(fetch(home + pages[name])[1])
            )
            lcp, cls, weight = visit(browser, home + pages[name])
            yield Line(
                f"whole first visit without pictures, {name}", f"{weight} B", f"at most {VISIT} B", weight <= VISIT
            )
            yield Line(
                f"largest contentful paint, slow phone, {name}", f"{lcp:.0f} ms", f"at most {LCP_MS} ms", lcp <= LCP_MS
            )
            yield Line(f"layout shift, slow phone, {name}", f"{cls:.4f}", "0", cls == 0)
        several = [path for name, path in pages.items() if name.startswith("lot ")]
        taps = max(taps_to_pour(browser, home + path) for path in several)
        yield Line("taps from the scanned code to the first pour", str(taps), f"at most {TAPS}", taps <= TAPS)


def visit(browser: Browser, url: str) -> tuple[float, float, int]:
    """Open an address with nothing kept; give the paint in ms, the shift, and the bytes that travelled."""
    context = browser.new_context(viewport={"width": 360, "height": 740}, device_scale_factor=2, locale="en-GB")
    page = context.new_page()
    page.add_init_script(_WATCH)
    tools = context.new_cdp_session(page)
    bytes_by: dict[str, int] = {}
    pictures: set[str] = set()
    tools.on("Network.loadingFinished", lambda it: bytes_by.update({it["requestId"]: int(it["encodedDataLength"])}))
    tools.on("Network.responseReceived", lambda it: pictures.add(it["requestId"]) if it["type"] == "Image" else None)
    tools.send("Network.enable")
    slow = {"offline": False, "latency": 150, "downloadThroughput": _DOWN, "uploadThroughput": 750_000 / 8}
    tools.send("Network.emulateNetworkConditions", slow)
    tools.send("Emulation.setCPUThrottlingRate", {"rate": 4})
    page.goto(url, wait_until="networkidle")
    page.wait_for_timeout(500)
    seen = page.evaluate("window.seen")
    context.close()
    return seen["lcp"], seen["cls"], sum(size for request, size in bytes_by.items() if request not in pictures)


def taps_to_pour(browser: Browser, url: str) -> int:
    """Count the taps from a scanned code to a page that says how to pour first; 0 for a bag not to be brewed."""
    context = browser.new_context(viewport={"width": 360, "height": 740}, locale="en-GB")
    page = context.new_page()
    page.goto(url)
    taps = 0
    if not page.locator("ol.short").count():
        if not page.locator("ul.guides a").count():
            context.close()
            return 0
        page.locator("ul.guides a").first.click()
        taps += 1
    assert page.locator("ol.short li").first.inner_text()
    start = page.locator("[data-brew], a[href*='/brew']").first
    if start.count():
        start.click()
        taps += 2  # to the brewing page, and its start
    context.close()
    return taps
