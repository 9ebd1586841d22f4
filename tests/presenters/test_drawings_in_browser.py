"""Letters of drawings in a real Chromium: none overlap, none is cut, in any language; forced colours keep them."""

import base64
from pathlib import Path

import pytest

from tests.calculations.demo_plans import DEMO

from .drawn import LANGUAGES, all_drawings, bench_drawings

pytestmark = pytest.mark.browser

_BOXES = """() => [...document.querySelectorAll('svg')].flatMap((svg) => {
  const frame = svg.getBoundingClientRect(), id = svg.querySelector('title').id, found = [];
  const letters = [...svg.querySelectorAll('text')].map((text) => [text.textContent, text.getBoundingClientRect()])
    .filter(([, box]) => box.width);
  letters.forEach(([words, box], index) => {
    if (box.left < frame.left - 0.5 || box.right > frame.right + 0.5 || box.top < frame.top - 0.5
        || box.bottom > frame.bottom + 0.5) found.push(`${id}: cut: ${words}`);
    for (const [others, other] of letters.slice(index + 1)) {
      const x = Math.min(box.right, other.right) - Math.max(box.left, other.left);
      const y = Math.min(box.bottom, other.bottom) - Math.max(box.top, other.top);
      if (x > 1 && y > 5) found.push(`${id}: ${words} over ${others}`);  // boxes of lines hold 5 units of air
    }
  });
  return found;
})"""


def shown(browser, drawings, **options):
    faces = "".join(
        f"@font-face{{font-family:H;font-weight:{weight};src:url(data:font/woff2;base64,"
        + base64.b64encode(Path(f"static/fonts/atkinson-hyperlegible-next-{weight}.woff2").read_bytes()).decode()
        + ")}"
        for weight in (400, 700)
    )
    page = browser.new_context(viewport={"width": 480, "height": 800}, **options).new_page()
    page.set_content(f"<style>{faces}svg{{font-family:H;width:400px;display:block}}</style>{''.join(drawings)}")
    page.evaluate("document.fonts.ready")
    return page


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_word_lies_over_another_or_is_cut(browser, language):
    drawings = [svg for name in DEMO for svg in all_drawings(name, language).values()]
    drawings += bench_drawings(language).values()
    page = shown(browser, drawings)
    assert page.locator("svg").count() == len(drawings) > 30
    assert page.evaluate(_BOXES) == []
    page.context.close()


def test_the_measuring_would_notice(browser):
    """Negative control: a word moved onto another, one out of the frame."""
    svg = all_drawings("rope walk S", "en")["rope-walk-S-cone"]
    page = shown(browser, [svg])
    page.evaluate("document.querySelectorAll('text').forEach((text) => text.setAttribute('y', 50))")
    assert any("over" in found for found in page.evaluate(_BOXES))
    page.evaluate("document.querySelector('text').setAttribute('x', 390)")
    assert any("cut" in found for found in page.evaluate(_BOXES))
    page.context.close()


def test_forced_colours_show_lines_and_letters_in_the_readers_ink(browser):
    page = shown(browser, [all_drawings("rope walk S", "en")["rope-walk-S-cone"]], forced_colors="active")
    ink = page.evaluate("getComputedStyle(document.body).color")
    assert page.evaluate("getComputedStyle(document.querySelector('svg text')).fill") == ink
    assert page.evaluate("getComputedStyle(document.querySelector('svg path[stroke]')).stroke") == ink
    page.context.close()
