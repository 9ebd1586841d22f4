"""``python -m tests.tour`` makes the README's pictures: a demo of its own, looked at in Chromium.

The pictures replace those in ``static/tour/``. Look at them before you commit them.
"""

from __future__ import annotations

import io
import re
import socket
import tempfile
from pathlib import Path

import pypdfium2
from PIL import Image
from playwright.sync_api import Browser, Page

from tests.browser import launched
from tests.commands.demo_process import ROOT, Demo

FOLDER = ROOT / "static" / "tour"
PHONE, DESK = (390, 844), (1280, 900)


def main() -> None:
    FOLDER.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder, launched() as browser:
        port = _free_port()
        demo = Demo(Path(folder), port)
        try:
            welcome = demo.welcome()
            bags = dict(re.findall(r"^\s+(\S+)\s+(http\S+/L/\S+)", welcome, re.MULTILINE))
            password = re.findall(r"password (\S+):", welcome)[0]
            home = f"http://127.0.0.1:{port}"
            _customers(browser, home, bags)
            _staff(browser, home, password)
        finally:
            demo.stop()


def _customers(browser: Browser, home: str, bags: dict[str, str]) -> None:
    phone = browser.new_context(viewport=_size(PHONE), device_scale_factor=2).new_page()
    phone.goto(bags["RW-078"])
    _keep(phone, "bag")
    phone.goto(bags["RW-091"])
    _keep(phone, "recalled")
    desk = browser.new_context(viewport=_size(DESK)).new_page()
    desk.goto(f"{home}/en/")
    _keep(desk, "home")
    desk.get_by_role("link", name="Outer Mark in the Mast cone, in pulses").first.click()
    desk.get_by_role("heading", name="Before the clock").wait_for()
    _keep(desk, "guide")


def _staff(browser: Browser, home: str, password: str) -> None:
    context = browser.new_context(viewport=_size(DESK))
    page = context.new_page()
    page.goto(f"{home}/admin/")
    page.get_by_label("Username").fill("tove")
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Log in").click()
    page.get_by_text("Log out").wait_for()
    page.goto(f"{home}/admin/guides/lot/")
    page.get_by_role("link", name="RW-078").first.click()
    page.get_by_text("Address code").first.wait_for()
    _keep(page, "lot")
    insert = page.locator("a[href*='/insert/'][href$='en.pdf']").first.get_attribute("href")
    _keep_paper(context.request.get(f"{home}{insert}", timeout=120_000).body(), "insert")
    page.goto(f"{home}/admin/guides/guide/")
    page.get_by_role("link", name="rope-walk-tidegate-s").first.click()
    page.get_by_role("link", name="Open the next draft").click()
    page.get_by_role("button", name="Open the next draft").click()
    page.get_by_text("Check of what is saved").wait_for()
    _keep(page, "writing")


def _keep(page: Page, name: str) -> None:
    """Keep what fits the window, as a reader sees it first."""
    page.wait_for_load_state("networkidle")
    _save(Image.open(io.BytesIO(page.screenshot())), name)


def _keep_paper(pdf: bytes, name: str) -> None:
    """Keep the sides of a paper beside each other."""
    sides = [side.render(scale=2.5).to_pil() for side in pypdfium2.PdfDocument(pdf)]
    gap = 24
    sheet = Image.new("RGB", (sum(side.width + gap for side in sides) + gap, sides[0].height + 2 * gap), "#c9c4bb")
    for number, side in enumerate(sides):
        sheet.paste(side, (gap + number * (side.width + gap), gap))
    _save(sheet, name)


def _save(picture: Image.Image, name: str) -> None:
    file = FOLDER / f"{name}.webp"
    picture.convert("RGB").save(file, quality=80, method=6)
    print(f"{file.relative_to(ROOT)}: {picture.width} × {picture.height}, {file.stat().st_size // 1024} kB")


def _size(window: tuple[int, int]) -> dict[str, int]:
    return {"width": window[0], "height": window[1]}


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


if __name__ == "__main__":
    main()
