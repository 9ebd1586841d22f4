"""Which roasts a packed lot was filled from: one step of the trace."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from .base import Mutability, Record
from .lot import Lot
from .roast import Roast


class LotPart(Record):
    mutability = Mutability.MUTABLE

    lot = models.ForeignKey(Lot, models.CASCADE, related_name="parts", verbose_name=_("lot"))
    roast = models.ForeignKey(Roast, models.PROTECT, related_name="parts", verbose_name=_("roast"))
    mass_kg = models.DecimalField(_("roasted coffee, kg"), max_digits=7, decimal_places=2)

    class Meta:
        verbose_name = _("part of a lot")
        verbose_name_plural = _("parts of a lot")
        constraints = [
            models.UniqueConstraint(
                fields=["lot", "roast"],
                name="lot_part_roast_once",
                violation_error_message=_("Roast: it is in this lot already; change that line."),
            ),
            models.CheckConstraint(
                condition=Q(mass_kg__gt=0),
                name="lot_part_mass_positive",
                violation_error_message=_("Roasted coffee: more than 0 kg."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.roast} → {self.lot}"

    def clean(self) -> None:
        if self._state.adding and self.roast_id and (self.roast.is_recalled or self.roast.green_lot.is_recalled):
            text = _("Roast: it is recalled, or its green coffee is. Nothing is filled from it.")
            raise ValidationError({"roast": text})
