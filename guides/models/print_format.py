"""A size of paper of the roastery's own, laid out like one of the house's formats."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from guides.choices import PaperLayout

from .base import Mutability, Record


class PrintFormat(Record):
    """Lengths in mm. What a run has printed is kept as a file, so a size may change."""

    mutability = Mutability.MUTABLE
    on_pages = False

    name = models.CharField(_("name"), max_length=60, unique=True)
    layout = models.CharField(_("laid out like"), max_length=30, choices=PaperLayout)
    width_mm = models.DecimalField(_("width, mm"), max_digits=5, decimal_places=1)
    height_mm = models.DecimalField(_("height, mm"), max_digits=5, decimal_places=1)
    margin_mm = models.DecimalField(
        _("margin, mm"), max_digits=4, decimal_places=1, default=5, help_text=_("White on every side; at least 4.")
    )
    symbol_mm = models.DecimalField(
        _("code, mm"),
        max_digits=4,
        decimal_places=1,
        default=24,
        help_text=_("Across, with the white around it: 20 and more. It grows by itself where an address is long."),
    )
    bleed_mm = models.DecimalField(
        _("bleed, mm"),
        max_digits=3,
        decimal_places=1,
        default=0,
        help_text=_("3 for a coloured edge that runs over the cut, 0 for paper that stays white to its edges."),
    )

    class Meta:
        verbose_name = _("own size")
        verbose_name_plural = _("own sizes")
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(width_mm__gte=40, width_mm__lte=450),
                name="print_format_width_range",
                violation_error_message=_("Width: 40 to 450 mm."),
            ),
            models.CheckConstraint(
                condition=Q(height_mm__gte=28, height_mm__lte=450),
                name="print_format_height_range",
                violation_error_message=_("Height: 28 to 450 mm."),
            ),
            models.CheckConstraint(
                condition=Q(margin_mm__gte=4, margin_mm__lte=50),
                name="print_format_margin_range",
                violation_error_message=_("Margin: 4 to 50 mm; nearer to the edge, letters are cut off."),
            ),
            models.CheckConstraint(
                condition=Q(symbol_mm__gte=20)
                & Q(symbol_mm__lte=F("width_mm") - F("margin_mm") * 2)
                & Q(symbol_mm__lte=F("height_mm") - F("margin_mm") * 2),
                name="print_format_symbol_fits",
                violation_error_message=_("Code: at least 20 mm, and no larger than what the margins leave."),
            ),
            models.CheckConstraint(
                condition=Q(bleed_mm__gte=0, bleed_mm__lte=5),
                name="print_format_bleed_range",
                violation_error_message=_("Bleed: 0 to 5 mm; 3 is usual."),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def key(self) -> str:
        """What a packing run calls it."""
        return f"own-{self.pk}"
