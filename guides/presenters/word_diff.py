"""What changed in a text, word by word."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from difflib import SequenceMatcher
from enum import StrEnum

# A word or a mark with the space behind it, which counts for nothing: a word stays the same before a comma, too.
_WORDS = re.compile(r"\w+\s*|[^\w\s]\s*|\s+")


class Kind(StrEnum):
    SAME = "same"
    REMOVED = "removed"
    ADDED = "added"


@dataclass(frozen=True)
class Part:
    """A run of words that stayed, went or came."""

    kind: Kind
    text: str


def parts(old: str, new: str) -> tuple[Part, ...]:
    """Compare two texts, spaces aside; what went stands before what came in its place."""
    return tuple(_parts(_WORDS.findall(old), _WORDS.findall(new)))


def _parts(old: list[str], new: list[str]) -> Iterator[Part]:
    bare_old, bare_new = ([word.strip() for word in words] for words in (old, new))
    matcher = SequenceMatcher(None, bare_old, bare_new, autojunk=False)
    for tag, from_old, to_old, from_new, to_new in matcher.get_opcodes():
        went, came = "".join(old[from_old:to_old]), "".join(new[from_new:to_new])
        if tag == "equal":
            yield Part(Kind.SAME, came)
            continue
        if went:
            yield Part(Kind.REMOVED, went)
        if came:
            yield Part(Kind.ADDED, came)
