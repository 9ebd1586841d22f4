"""What can be printed and on what: the formats and sheets of the house, and those that were added at the desk."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from django.utils.translation import gettext_lazy as _

from guides.models import LabelStock, PrintFormat
from guides.queries import printing

from .formats import FORMATS, WITH_BLEED, Format
from .sheets import PAPERS, STOCKS, Layout, SheetPaper, Stock, for_format

_NAMES = {"a4": "A4", "letter": "Letter"}
_RULER_STEP_MM = 10


def formats() -> dict[str, Format]:
    """Give every format by its key, the house's first."""
    return {**FORMATS, **WITH_BLEED, **{found.key: found for found in map(as_format, printing.formats())}}


def format_of(key: str) -> Format | None:
    """Give the format of a key; ``None`` where it is not known any more."""
    return FORMATS.get(key) or WITH_BLEED.get(key) or formats().get(key)


def stocks() -> dict[str, Stock]:
    """Give every stock by its key."""
    return {**STOCKS, **{found.key: found for found in map(as_stock, printing.stocks())}}


def sheet(key: str) -> SheetPaper | Stock | None:
    """Give the sheet of a key; ``None`` where it is not known any more."""
    return PAPERS.get(key) or STOCKS.get(key) or stocks().get(key)


def sheets() -> Mapping[str, Any]:
    """Give the name of every sheet and stock by its key."""
    return {**_NAMES, **{key: stock.name for key, stock in stocks().items()}}


def layout_on(on: SheetPaper | Stock, item: Format) -> Layout | None:
    """Give how copies of a format lie on a sheet or on stock; ``None`` where they do not go on it."""
    if isinstance(on, SheetPaper):
        return for_format(on, item)
    return on.layout if on.holds(item) else None


def why_not_on(on: SheetPaper | Stock) -> Any:
    """Say why a format does not go on a sheet, and what to do."""
    if isinstance(on, SheetPaper):
        return _("This format is larger than the sheet. Choose a larger one, or its own size.")
    return _("These labels have another size than the format, or it has two sides or a bleed. Choose other stock.")


def as_format(row: PrintFormat) -> Format:
    """Give an own size as a format: the layout it was made from, on other paper."""
    base = FORMATS[row.layout]
    width, margin = float(row.width_mm), float(row.margin_mm)
    live = width - 2 * margin
    across = live / (base.width_mm - 2 * base.margin_mm)
    return replace(
        base,
        key=row.key,
        width_mm=width,
        height_mm=float(row.height_mm),
        margin_mm=margin,
        symbol_mm=float(row.symbol_mm),
        bleed_mm=float(row.bleed_mm),
        drawing_mm=round(base.drawing_mm * across, 1),
        ruler_mm=min(base.ruler_mm, live * 0.6 // _RULER_STEP_MM * _RULER_STEP_MM),
        name=row.name,
    )


def as_stock(row: LabelStock) -> Stock:
    """Give label stock as it lies on its sheet."""
    layout = Layout(
        paper=PAPERS[row.sheet],
        width_mm=float(row.width_mm),
        height_mm=float(row.height_mm),
        columns=row.columns,
        rows=row.rows,
        left_mm=float(row.left_mm),
        top_mm=float(row.top_mm),
        gutter_x_mm=float(row.gutter_x_mm),
        gutter_y_mm=float(row.gutter_y_mm),
        stock=True,
    )
    return Stock(row.key, layout, row.name)
