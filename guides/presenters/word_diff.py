"""What changed in a text, word by word."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from difflib import SequenceMatcher
from enum import StrEnum

# A word or a mark with the space behind it, so that a changed word does not leave its space behind as "the same".
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
    """Compare two texts; what went stands before what came in its place."""
    return tuple(_parts(_WORDS.findall(old), _WORDS.findall(new)))


def _parts(old: list[str], new: list[str]) -> Iterator[Part]:
    for tag, from_old, to_old, from_new, to_new in SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        went, came = "".join(old[from_old:to_old]), "".join(new[from_new:to_new])
        if tag == "equal":
            yield Part(Kind.SAME, came)
            continue
        if went:
            yield Part(Kind.REMOVED, went)
        if came:
            yield Part(Kind.ADDED, came)
