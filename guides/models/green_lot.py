"""Green coffee as it arrived: where a trace begins."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from .base import Mutability
from .recallable import Recallable, recall_complete


class GreenLot(Recallable):
    mutability = Mutability.MUTABLE

    name = models.CharField(_("name"), max_length=40, unique=True)
    origin = models.CharField(_("origin"), max_length=80, blank=True)
    supplier_reference = models.CharField(_("supplier's reference"), max_length=60, blank=True)
    arrived_on = models.DateField(_("arrived on"), null=True, blank=True)
    mass_kg = models.DecimalField(_("mass, kg"), max_digits=8, decimal_places=2)

    class Meta:
        verbose_name = _("green lot")
        verbose_name_plural = _("green lots")
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(mass_kg__gt=0),
                name="green_lot_mass_positive",
                violation_error_message=_("Mass: more than 0 kg."),
            ),
            recall_complete("green_lot_recall_complete"),
        ]

    def __str__(self) -> str:
        return self.name
