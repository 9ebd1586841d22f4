"""Text fields cannot carry anything that runs. Hostile strings after the OWASP XSS filter evasion cheat sheet."""

import re
from html.parser import HTMLParser

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guides.presenters import prose

HOSTILE = [
    "<script>alert(1)</script>",
    "<img src=x onerror=alert(1)>",
    "[click](javascript:alert(1))",
    '![x](x" onerror="alert(1))',
    '<a href="java&#115;cript:alert(1)">x</a>',
    "<svg/onload=alert(1)>",
    "<style>@import'http://evil.example';</style>",
    "<https://evil.example>",
    "<iframe src=//evil.example></iframe>",
    "*x*<b onmouseover=alert(1)>y</b>",
    "[a]: javascript:alert(1)\n\n[a]",
    '<math><mi//xlink:href="data:x,<script>alert(1)</script>">',
]


class Tags(HTMLParser):
    def __init__(self, html: str) -> None:
        super().__init__()
        self.seen: list[tuple[str, list[tuple[str, str | None]]]] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append((tag, attrs))


@pytest.mark.parametrize("text", HOSTILE)
def test_nothing_hostile_comes_through(text):
    assert all(tag in {"p", "em", "strong", "br"} and not attributes for tag, attributes in Tags(prose.html(text)).seen)


@given(st.text(alphabet=st.sampled_from("<>\"'`/=[]()!*_&;:# \nabcsriptonjv"), max_size=60))
def test_no_text_gives_a_tag_with_attributes(text):
    assert all(not attributes for _tag, attributes in Tags(prose.html(text)).seen)


def test_emphasis_lists_and_paragraphs_work():
    written = prose.html("Pour *slowly*.\n\n- one\n- **two**")
    assert re.sub(r"\s", "", written) == "<p>Pour<em>slowly</em>.</p><ul><li>one</li><li><strong>two</strong></li></ul>"
