"""Some lots out of a file that several share, found by its bookmarks."""

from __future__ import annotations

from collections.abc import Container
from io import BytesIO
from typing import Any

import pikepdf

from . import finished


def of_lots(pdf: bytes, names: Container[str]) -> bytes:
    """Give the pages of these lots alone.

    Args:
        pdf: a file with a bookmark where each lot begins; one without is of a single lot.
        names: of lots.

    Returns:
        The file itself where all its lots are wanted.
    """
    with pikepdf.open(BytesIO(pdf)) as whole, pikepdf.new() as kept:
        with whole.open_outline() as outline:
            begins = [(item.title, _page(whole, item.destination)) for item in outline.root]
        if all(name in names for name, _page in begins):
            return pdf
        ends = [page for _name, page in begins[1:]] + [len(whole.pages)]
        for (name, begin), end in zip(begins, ends, strict=True):
            if name in names:
                kept.pages.extend(whole.pages[begin:end])
        return finished.bytes_of(kept)


def _page(whole: pikepdf.Pdf, destination: Any) -> int:
    """Where a bookmark leads: it names the page first, then how to look at it."""
    return whole.pages.index(pikepdf.Page(destination[0]))
