"""Pages obey the strict content policy: nothing inline but one style accepted by its hash, nothing from elsewhere."""

from __future__ import annotations

import re

import pytest

from .tracked import texts

# The PDF engine reads its own documents and takes styles from files as well; they obey the same rules.
TEMPLATES = [
    (name, text) for name, text in texts() if name.startswith("templates/") and name.endswith((".html", ".svg"))
]
# The one style inside a page: the same text for every page, which the policy accepts by its hash (public/styling.py).
BY_HASH = "<style>{{ css|safe }}</style>"
INLINE = re.compile(
    r"<style\b|<script(?![^>]*\b(?:src=|type=.application/ld\+json))|\sstyle\s*=|\son[a-z]+\s*=|javascript:", re.I
)
# Months and days by Django's letters stand in no case that Finnish, for one, would use; `dated` and `moment` ask Babel.
MONTH_BY_LETTER = re.compile(r"\|date:[\"'](?!\w+_FORMAT)[^\"']*[FMNbDl]")
FOREIGN = re.compile(r"<(?:script|link|img|iframe|source|use)\b[^>]*\b(?:src|href)\s*=\s*[\"']?(?:https?:)?//", re.I)


@pytest.mark.parametrize(("name", "text"), TEMPLATES, ids=[name for name, _text in TEMPLATES])
def test_nothing_inline_and_nothing_from_elsewhere(name: str, text: str) -> None:
    text = text.replace(BY_HASH, "")
    assert INLINE.findall(text) == []
    assert FOREIGN.findall(text) == []
    assert MONTH_BY_LETTER.findall(text) == []
    assert "|safe" not in text, "mark text safe where it is made, with a test, not where it is shown"


@pytest.mark.parametrize(
    "wrong",
    [
        "<style>p{}</style>",
        "<script>alert(1)</script>",
        '<p style="color:red">',
        '<a onclick="x()">',
        '<a href="javascript:x()">',
        '<script src="//elsewhere.example/a.js"></script>',
        '<img alt="" src="https://elsewhere.example/a.png">',
        '{{ day|date:"j F Y" }}',
    ],
)
def test_control_the_rules_see_what_they_forbid(wrong: str) -> None:
    assert INLINE.search(wrong) or FOREIGN.search(wrong) or MONTH_BY_LETTER.search(wrong)


@pytest.mark.parametrize(
    "right",
    [
        '<script src="{% static "js/clock.js" %}" type="module"></script>',
        '<script type="application/ld+json">{}</script>',
        '<a href="https://elsewhere.example">',
        '<p class="styled">',
    ],
)
def test_control_the_rules_let_what_is_right_through(right: str) -> None:
    assert not INLINE.search(right)
    assert not FOREIGN.search(right)
