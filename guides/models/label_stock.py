"""Sheets of labels as they are bought: how many, how large, and where they lie."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, Final

from django.db import models
from django.db.models import F, Q, Value
from django.utils.translation import gettext_lazy as _

from guides.choices import SheetSize

from .base import Mutability, Record

# A sum of columns, gutters and an edge may come with the odd thousandth too much.
_A_HAIR: Final = Decimal("0.01")
_SHEETS_MM: Final = {SheetSize.A4: ("210", "297"), SheetSize.LETTER: ("215.9", "279.4")}


def _mm(verbose: Any, help_text: Any = "", **options: Any) -> models.DecimalField:
    return models.DecimalField(verbose, max_digits=6, decimal_places=2, help_text=help_text, **options)


def _all_on_sheet(edge: str, count: str, size: str, gutter: str, *, side: int) -> Q:
    """Whether the last label of a row or column ends on the sheet it is on."""
    condition = Q()
    for sheet, sides in _SHEETS_MM.items():
        room = Value(Decimal(sides[side]) + _A_HAIR, output_field=models.DecimalField())
        condition |= Q(sheet=sheet, **{f"{edge}__lte": room - F(count) * (F(size) + F(gutter)) + F(gutter)})
    return condition


class LabelStock(Record):
    """Lengths in mm; edges are those of the sheet as it goes into the printer, upright."""

    mutability = Mutability.MUTABLE
    on_pages = False

    name = models.CharField(_("name"), max_length=60, unique=True)
    sheet = models.CharField(_("sheet"), max_length=10, choices=SheetSize, default=SheetSize.A4)
    width_mm = _mm(_("label width, mm"))
    height_mm = _mm(_("label height, mm"))
    columns = models.PositiveSmallIntegerField(_("columns"))
    rows = models.PositiveSmallIntegerField(_("rows"))
    left_mm = _mm(_("from the left edge, mm"), _("To the first label."))
    top_mm = _mm(_("from the upper edge, mm"), _("To the first label."))
    gutter_x_mm = _mm(_("between columns, mm"), default=0)
    gutter_y_mm = _mm(_("between rows, mm"), default=0)

    class Meta:
        verbose_name = _("label stock")
        verbose_name_plural = _("label stock")
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(width_mm__gte=20, height_mm__gte=20),
                name="label_stock_label_size",
                violation_error_message=_("Label width and height: at least 20 mm each."),
            ),
            models.CheckConstraint(
                condition=Q(columns__gte=1, columns__lte=20, rows__gte=1, rows__lte=30),
                name="label_stock_count_range",
                violation_error_message=_("Columns: 1 to 20, and rows: 1 to 30."),
            ),
            models.CheckConstraint(
                condition=Q(left_mm__gte=0, top_mm__gte=0, gutter_x_mm__gte=0, gutter_y_mm__gte=0),
                name="label_stock_gaps_range",
                violation_error_message=_("From the left edge, from the upper edge and between: none is below 0."),
            ),
            models.CheckConstraint(
                condition=_all_on_sheet("left_mm", "columns", "width_mm", "gutter_x_mm", side=0),
                name="label_stock_columns_on_sheet",
                violation_error_message=_("Columns: together with edge and gaps they are wider than the sheet."),
            ),
            models.CheckConstraint(
                condition=_all_on_sheet("top_mm", "rows", "height_mm", "gutter_y_mm", side=1),
                name="label_stock_rows_on_sheet",
                violation_error_message=_("Rows: together with edge and gaps they are higher than the sheet."),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def key(self) -> str:
        """What a packing run calls it."""
        return f"stock-{self.pk}"
