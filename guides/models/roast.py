"""One run of the roaster, on one green lot."""

from __future__ import annotations

from decimal import Decimal

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from .base import Mutability
from .green_lot import GreenLot
from .lot import not_in_the_future
from .recallable import Recallable, recall_complete


class Roast(Recallable):
    mutability = Mutability.MUTABLE

    name = models.CharField(_("name"), max_length=40, unique=True)
    green_lot = models.ForeignKey(GreenLot, models.PROTECT, related_name="roasts", verbose_name=_("green lot"))
    roasted_on = models.DateField(_("roasted on"), validators=[not_in_the_future])
    green_kg = models.DecimalField(_("green in, kg"), max_digits=7, decimal_places=2)
    roasted_kg = models.DecimalField(_("roasted out, kg"), max_digits=7, decimal_places=2)

    class Meta:
        verbose_name = _("roast")
        verbose_name_plural = _("roasts")
        ordering = ["-roasted_on", "name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(green_kg__gt=0, roasted_kg__gt=0),
                name="roast_masses_positive",
                violation_error_message=_("Green in and roasted out: more than 0 kg."),
            ),
            models.CheckConstraint(
                condition=Q(roasted_kg__lte=F("green_kg")),
                name="roast_loses_mass",
                violation_error_message=_("Roasted out: no more than went in; coffee loses mass in the roaster."),
            ),
            recall_complete("roast_recall_complete"),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def loss_percent(self) -> Decimal:
        return 100 * (1 - self.roasted_kg / self.green_kg)
