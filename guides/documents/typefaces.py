"""The letters we print with: bundled, so that a paper looks the same wherever it is made.

Our own have Latin letters. Those of other scripts stand in for what ours lack; they are large, so a document is given
only what its words need.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from functools import cache
from typing import Final

from django.contrib.staticfiles import finders

# What tokens.css calls them, and so the PDF too.
OWN_FAMILIES = ("Hyperlegible", "Hyperlegible Mono")
FILES = tuple(f"fonts/atkinson-hyperlegible-{cut}-{weight}.woff2" for cut in ("next", "mono") for weight in (400, 700))


@dataclass(frozen=True)
class Script:
    """Letters of a script: its style sheet is ``css/scripts/KEY.css``; ``families`` are what that calls them."""

    key: str
    families: tuple[str, ...]
    cuts: tuple[str, ...]
    weights: tuple[int, ...] = (400, 700)

    @property
    def sheet(self) -> str:
        return f"css/scripts/{self.key}.css"

    @property
    def files(self) -> tuple[str, ...]:
        return tuple(f"fonts/{cut}-{weight}.woff2" for cut in self.cuts for weight in self.weights)


# In the order in which they are asked, which is that of insert.css.
SCRIPTS: Final = (
    Script("latin", ("Noto Latin",), ("noto-sans-latin-ext",)),
    Script("greek", ("Noto Greek",), ("noto-sans-greek",)),
    Script("cyrillic", ("Noto Cyrillic", "Noto Cyrillic Extended"), ("noto-sans-cyrillic", "noto-sans-cyrillic-ext")),
    Script("hebrew", ("Noto Hebrew",), ("noto-sans-hebrew",)),
    # Letters with their dots in one piece: a joined letter can still be copied and read aloud as what it is.
    Script("arabic", ("Plex Arabic",), ("plex-sans-arabic",)),
    Script("japanese", ("Noto Japanese",), ("noto-sans-jp",), (400,)),
    Script("chinese", ("Noto Chinese",), ("noto-sans-sc",), (400,)),
    Script("korean", ("Noto Korean",), ("noto-sans-kr",), (400,)),
)
FAMILIES = (*OWN_FAMILIES, *(family for script in SCRIPTS for family in script.families))
STACK: Final = ",".join(family for family in FAMILIES if family != OWN_FAMILIES[1])
"""What a drawing is set in; insert.css says the same to texts. The engine takes a space behind a comma for a name's."""


def scripts_of(text: str) -> list[Script]:
    """Give the scripts whose letters a text needs besides our own: those with most of them first, and no more.

    Japanese, Chinese and Korean share thousands of letters and draw them each in its own way; kana, simplified letters
    or hangul in the text decide which typeface has most.
    """
    found: list[Script] = []
    left = _lacking(text)
    while left:
        best = max(SCRIPTS, key=lambda script: len(left & _letters(script)))
        if not left & _letters(best):
            break
        found.append(best)
        left -= _letters(best)
    return found


def missing_characters(text: str) -> list[str]:
    """Give the characters that none of our letters have, in order; spaces, joiners and marks of direction need none."""
    known = [_letters(script) for script in SCRIPTS]
    return sorted(_lacking(text).difference(*known)) if _lacking(text) else []


def _lacking(text: str) -> set[str]:
    return {character for character in text if character not in _own() and character.isprintable()}


@cache
def _own() -> frozenset[str]:
    return frozenset.intersection(*map(_characters, FILES))


@cache
def _letters(script: Script) -> frozenset[str]:
    """What a script has in every weight: letters that change with the weight must not go missing."""
    by_weight = (
        frozenset().union(*(_characters(f"fonts/{cut}-{weight}.woff2") for cut in script.cuts))
        for weight in script.weights
    )
    return frozenset.intersection(*by_weight)


def _characters(name: str) -> frozenset[str]:
    # Part of what the PDF engine needs anyway.
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

    with TTFont(str(finders.find(name)), lazy=True) as font:
        return frozenset(map(chr, font.getBestCmap()))


@cache
def unpacked(weight: int) -> bytes:
    """Give our letters in a weight as what Pillow reads: woff2 unpacked."""
    from fontTools.ttLib import TTFont

    out = io.BytesIO()
    with TTFont(str(finders.find(f"fonts/atkinson-hyperlegible-next-{weight}.woff2"))) as font:
        font.flavor = None
        font.save(out)
    return out.getvalue()
