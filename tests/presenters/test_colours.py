"""The published tokens and any accent can be read: WCAG 2.2, 1.4.3 (text, 4.5) and 1.4.11 (controls, 3)."""

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guides.presenters import colours
from guides.presenters.contrast import ratio

TOKENS = Path("static/css/tokens.css").read_text()
HEX = st.integers(0, 0xFFFFFF).map(lambda number: f"#{number:06x}")


def tokens(dark: bool) -> dict[str, str]:
    light, _media, night = TOKENS.partition("@media (prefers-color-scheme: dark)")
    return dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", night if dark else light))


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("text", ["ink", "ink-muted", "accent", "ok", "caution", "stop"])
@pytest.mark.parametrize("ground", ["paper", "leaf"])
def test_every_text_colour_reads_on_every_ground(dark, text, ground):
    found = tokens(dark)
    assert ratio(found[text], found[ground]) >= 4.5


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_edges_of_controls_can_be_seen(dark):
    found = tokens(dark)
    assert ratio(found["edge"], found["paper"]) >= 3
    assert ratio(found["on-accent"], found["accent"]) >= 4.5
    assert ratio(tokens(False)["on-stop"], tokens(False)["stop-ground"]) >= 4.5


@given(HEX, st.sampled_from(["#faf8f3", "#14191d"]))
def test_any_accent_ends_up_readable(accent, paper):
    assert ratio(colours.readable_on(accent, paper), paper) >= 4.5


@given(HEX)
def test_text_reads_on_any_colour(ground):
    assert ratio(colours.text_on(ground), ground) >= 4.5
