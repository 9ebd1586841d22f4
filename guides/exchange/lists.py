"""Lists as CSV: the columns that coming in reads, in UTF-8 with its mark, safe to open in a spreadsheet."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterable, Iterator
from decimal import Decimal
from enum import Enum
from typing import Any, Final, Protocol

from django.db import models
from django.db.models import Max, OuterRef, QuerySet, Subquery

from guides.choices import State
from guides.models import Address, Guide, GuideVersion, Lot

from .formulas import as_text
from .incoming.kinds import KINDS, Kind

GUIDES: Final = "guides"
NAMES: Final = (*KINDS, GUIDES)
"""Every list that can go out. Guides cannot come in as a list: they go from site to site in a bundle."""
_BOM: Final = "\ufeff"


class Style(Enum):
    """How cells are parted: as the standard has it, or as spreadsheets of countries with a decimal comma open it."""

    COMMA = "comma"
    SEMICOLON = "semicolon"


class Out(Protocol):
    def write(self, text: str, /) -> object: ...


def write(name: str, out: Out, style: Style = Style.COMMA) -> int:
    """Write a list and return its number of rows, the headings not counted.

    Args:
        name: one of ``NAMES``.
        out: where to, opened as text with ``newline=""``.
        style: commas and decimal points, or semicolons and decimal commas.
    """
    headings, rows = _guides() if name == GUIDES else _of_kind(KINDS[name])
    out.write(f"{_BOM}{_line(headings, style)}")
    count = 0
    for row in rows:
        out.write(_line(row, style))
        count += 1
    return count


def _line(values: Iterable[object], style: Style) -> str:
    return (";" if style is Style.SEMICOLON else ",").join(_cell(value, style) for value in values) + "\r\n"


def _cell(value: object, style: Style) -> str:
    """Give numbers and dates bare, and every text in quotation marks: a separator in it then parts nothing."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, Decimal)):
        return str(value) if style is Style.COMMA else str(value).replace(".", ",")
    if isinstance(value, (datetime.date, datetime.datetime)):
        return value.isoformat()
    text = as_text(str(value)).replace('"', '""')
    return f'"{text}"'


def _of_kind(kind: Kind) -> tuple[list[str], Iterator[list[Any]]]:
    rows: QuerySet[Any] = kind.model._default_manager.select_related(*kind.links).order_by(*kind.key)
    if kind.model is Lot:
        newest = Address.objects.filter(lot=OuterRef("pk")).order_by("-created_at").values("code")[:1]
        rows = rows.annotate(address_code=Subquery(newest))
    readers = [_reader(kind, name) for name in (*kind.columns, *kind.told)]
    return [*kind.columns, *kind.told], ([read(row) for read in readers] for row in rows.iterator(chunk_size=500))


def _reader(kind: Kind, name: str) -> Callable[[models.Model], Any]:
    if name in kind.links:
        called = kind.links[name][0]
        return lambda row: getattr(getattr(row, name), called)
    return lambda row: getattr(row, name)


def _guides() -> tuple[list[str], Iterable[list[Any]]]:
    """What there is, for a planner's table: numbers that are printed, not the plans themselves."""
    newest = GuideVersion.objects.filter(guide=OuterRef("pk"), state=State.PUBLISHED).order_by("-revision")
    rows = Guide.objects.order_by("number").annotate(
        title=Subquery(newest.values("title")[:1]),
        published_at=Subquery(newest.values("published_at")[:1]),
        revision=Max("versions__revision"),
    )
    columns = ["number", "slug", "coffee__code", "title", "revision", "published_at"]
    headings = ["number", "slug", "coffee", "title", "revision", "published_at"]
    return headings, (list(row) for row in rows.values_list(*columns).iterator(chunk_size=500))
