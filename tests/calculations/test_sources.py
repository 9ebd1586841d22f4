"""The bibliography holds together."""

import re
from pathlib import Path

import pytest

from guides import calculations
from guides.calculations.sources import SOURCES

TEXT = "\n".join(
    path.read_text() for path in Path(calculations.__file__).parent.glob("*.py") if path.name != "sources.py"
)


@pytest.mark.parametrize("key", SOURCES)
def test_each_source_is_complete_and_cited(key):
    source = SOURCES[key]
    assert re.fullmatch(r"[a-z0-9-]+", key)
    assert source.authors
    assert source.title
    assert source.where
    assert 1900 < source.year < 2100
    assert not source.doi or source.doi.startswith("10.")
    assert source.citation.startswith(f"{source.authors} ({source.year})")
    assert key in TEXT


def test_every_source_named_in_a_docstring_exists():
    """A key is lower-case words and digits ending in a year or a number: anything of that shape must be an entry."""
    named = set()
    for line in re.findall(r"^\s*Source: (.*)$", TEXT, re.MULTILINE):
        named |= set(
            re.findall(r"\b[a-z]+(?:-[a-z]+)*-(?:\d{2,4}(?:-\d)?|e11|sp811|water|cupping|scalds|coffee)\b", line)
        )
    assert named
    assert named <= set(SOURCES)
