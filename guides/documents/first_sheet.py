"""The first sheet of a run as pictures, to be looked at before anything is made."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO
from typing import Final

from . import read_back
from .orders import Order
from .packing import sheets_pdf

_DPI: Final = 96


def pictures(order: Order) -> list[bytes]:
    """Give the first sheet of a run as PNG pictures, front first; its symbols are those of the finished paper.

    Raises:
        InsertRefused: not to be printed, or a text that does not fit.
    """
    places = order.layout.per_sheet - order.skip
    sheet = sheets_pdf(replace(order, copies=min(order.copies, places)))
    return [_png(page) for page in read_back.pages(sheet, _DPI)]


def _png(page: read_back.Picture) -> bytes:
    made = BytesIO()
    page.save(made, "PNG")
    return made.getvalue()
