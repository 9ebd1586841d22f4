"""Text cells that no spreadsheet takes for a formula, and back.

After the advice on CSV injection of the Open Worldwide Application Security Project: cells that begin with one of
``= + - @``, a tab or a line end are calculated by spreadsheets, also in their full-width forms. A quotation mark in
front keeps them text. Numbers are no text: a negative one stays as it is.
"""

from __future__ import annotations

import re
from typing import Final

PREFIX: Final = "'"
_STARTS: Final = re.escape("=+-@＝＋－＠﹦﹢﹣﹫−")
# What some programs pass over before they look: spaces of any kind, and marks that cannot be seen.
_BEFORE: Final = rf"[\s{PREFIX}\u200b-\u200f\u2060\ufeff]*"
_RUNS: Final = re.compile(rf"{_BEFORE}[{_STARTS}]")
_PREFIXED: Final = re.compile(rf"{PREFIX}(?={_BEFORE}[{_STARTS}])")
_BLANKS: Final = re.compile(r"\t|\r(?!\n)")
_CONTROLS: Final = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]")


def as_text(written: str) -> str:
    """Give a text as it may stand in a cell: without control characters, and never the start of a formula."""
    clean = _CONTROLS.sub("", _BLANKS.sub(" ", written))
    return f"{PREFIX}{clean}" if _RUNS.match(clean) else clean


def without_prefix(cell: str) -> str:
    """Take off what ``as_text`` put in front."""
    return cell[1:] if _PREFIXED.match(cell) else cell
