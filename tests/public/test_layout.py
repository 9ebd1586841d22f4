"""Any language fits: read from the right, mirrored; with words twice as long, unbroken on the narrowest phone."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.utils import translation

from guides.models import Roastery
from tests.browser import Tab

from .test_in_browser import addresses

__all__ = ["addresses"]

PHYSICAL = re.compile(
    r"(?:margin|padding|border|inset|scroll-margin)-(?:left|right)\b|border-(?:top|bottom)-(?:left|right)-radius|"
    r"(?:^|[\s;{])(?:left|right)\s*:|(?:text-align|float|clear)\s*:\s*(?:left|right)"
)
SHEETS = [Path("static/css") / name for name in ("tokens.css", "public.css", "brewing.css")]


@pytest.mark.parametrize("sheet", SHEETS, ids=str)
def test_our_style_knows_no_left_and_no_right(sheet):
    assert PHYSICAL.findall(sheet.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    "wrong", ["a { margin-left: 0; }", "a{left:0}", "p { text-align: right; }", "b { float: left; }"]
)
def test_control_it_would_be_seen(wrong):
    assert PHYSICAL.search(wrong)
    assert not PHYSICAL.search("a { margin-inline-start: 0; text-align: end; border-top: 0; }")


@pytest.fixture
def from_the_right(settings, addresses) -> dict[str, str]:
    """The site offers a language read from the right; its words are English still, its layout is not."""
    settings.LANGUAGES = [*settings.LANGUAGES, ("ar", "Arabic")]
    house = Roastery.objects.get()
    house.languages = ["en", "ar"]
    house.save()
    return {name: address.replace("/en/", "/ar/") for name, address in addresses.items()} | {
        "bag": f"{addresses['bag']}?in=ar",
        "card": addresses["card"].replace(".FI", ".AR"),
    }


def x_of(tab: Tab, selector: str) -> float:
    return float(tab.page.locator(selector).first.bounding_box()["x"])


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_read_from_the_right_the_page_is_mirrored(tab, from_the_right, addresses):
    pairs = [
        (".house", "nav .languages"),
        (".short li .clock", ".short li .target"),
        (".steps .clock", ".steps .target"),
    ]
    for width in (400, 1280):
        tab.resize(width)
        tab.go(addresses["guide"])
        assert all(x_of(tab, first) < x_of(tab, second) for first, second in pairs)
        tab.go(from_the_right["guide"])
        assert tab.page.get_attribute("html", "dir") == "rtl"
        assert all(x_of(tab, first) > x_of(tab, second) for first, second in pairs)
    edges = "(it) => [getComputedStyle(it).borderLeftWidth, getComputedStyle(it).borderRightWidth]"
    tab.go(from_the_right["card"])
    assert tab.page.locator(".bag").evaluate(edges) == ["1px", "4px"]
    assert tab.page.locator(".bag bdi").count() >= 2  # codes keep their own direction
    assert tab.quiet()


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_read_from_the_right_nothing_runs_over_and_axe_is_content(tab, from_the_right):
    tab.resize(320)
    for name, address in from_the_right.items():
        tab.go(address)
        assert tab.overflow() == 0, name
        # Unseen overflow on the far side of a page that is read from the right.
        assert (
            tab.page.evaluate(
                "Math.min(...[...document.querySelectorAll('main *')].filter((it) => !it.closest("
                "'svg, .scroll') && it.getClientRects().length).map((it) => it.getBoundingClientRect().left))"
            )
            >= 0
        ), name
    assert tab.axe() == []


WIDEST = """[...document.querySelectorAll('main *')].filter((it) => it.getBoundingClientRect().right > innerWidth
  && !it.closest('svg')).map((it) => it.tagName + '.' + it.className + ': ' + it.textContent.slice(0, 40))"""
LONGER = re.compile(r"%\(\w+\)[sd]|%%|<[^>]*>|&\w+;|[^\W\d_]{3,}")


def long_words(text: str) -> str:
    return LONGER.sub(lambda found: found[0] if found[0][0] in "%<&" else found[0] * 2, text)


@pytest.fixture
def everything_longer(monkeypatch) -> Iterator[None]:
    """Every word of the interface twice over, as one word: longer than in any language we know."""
    translated = translation._trans
    gettext, ngettext, pgettext = translated.gettext, translated.ngettext, translated.pgettext
    monkeypatch.setattr(translated, "gettext", lambda text: long_words(gettext(text)))
    monkeypatch.setattr(translated, "ngettext", lambda one, many, n: long_words(ngettext(one, many, n)))
    monkeypatch.setattr(translated, "pgettext", lambda context, text: long_words(pgettext(context, text)))


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_words_twice_as_long_run_over_nowhere(tab, addresses, everything_longer):
    tab.resize(320)
    for name, address in addresses.items():
        tab.go(address)
        tab.page.evaluate("document.querySelectorAll('details').forEach((fold) => { fold.open = true; })")
        assert tab.overflow() == 0, (name, tab.page.evaluate(WIDEST))
    assert "KettleKettle" in tab.go(addresses["guide"]).text()


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_control_a_word_that_may_not_break_is_noticed(tab, addresses, everything_longer):
    tab.resize(320)
    tab.go(addresses["guide"])
    tab.page.evaluate("document.querySelector('h1').style.whiteSpace = 'nowrap'")
    assert tab.overflow() > 0
