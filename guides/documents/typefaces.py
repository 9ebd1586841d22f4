"""The letters we print with: bundled, so that a paper looks the same wherever it is made."""

from __future__ import annotations

import io
from functools import cache

from django.contrib.staticfiles import finders

# What tokens.css calls them, and so the PDF too.
FAMILIES = ("Hyperlegible", "Hyperlegible Mono")
FILES = tuple(f"fonts/atkinson-hyperlegible-{cut}-{weight}.woff2" for cut in ("next", "mono") for weight in (400, 700))


def missing_characters(text: str) -> list[str]:
    """Give the characters that not all of our letters have, in order; spaces and joiners need none."""
    return sorted({character for character in text if character not in _covered() and character.isprintable()})


@cache
def _covered() -> frozenset[str]:
    # Part of what the PDF engine needs anyway.
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

    sets = []
    for name in FILES:
        with TTFont(str(finders.find(name)), lazy=True) as font:
            sets.append({chr(code) for code in font.getBestCmap()})
    return frozenset.intersection(*map(frozenset, sets))


@cache
def unpacked(weight: int) -> bytes:
    """Give our letters in a weight as what Pillow reads: woff2 unpacked."""
    from fontTools.ttLib import TTFont

    out = io.BytesIO()
    with TTFont(str(finders.find(f"fonts/atkinson-hyperlegible-next-{weight}.woff2"))) as font:
        font.flavor = None
        font.save(out)
    return out.getvalue()
