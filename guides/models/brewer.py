"""A brewer as it stands on the server: vessel, base and paper."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from guides.choices import Outflow

from .base import Mutability, Record
from .paper import Paper
from .valve_base import ValveBase
from .vessel import Vessel


class Brewer(Record):
    """A base with two cones is two brewers that share a base."""

    mutability = Mutability.MUTABLE

    name = models.CharField(_("name"), max_length=60, unique=True)
    slug = models.SlugField(_("address word"), max_length=60, unique=True)
    outflow = models.CharField(_("way out"), max_length=8, choices=Outflow)
    vessel = models.ForeignKey(Vessel, models.PROTECT, related_name="brewers", verbose_name=_("cone or jar"))
    valve_base = models.ForeignKey(
        ValveBase, models.PROTECT, null=True, blank=True, related_name="brewers", verbose_name=_("valve base")
    )
    paper = models.ForeignKey(
        Paper, models.PROTECT, null=True, blank=True, related_name="brewers", verbose_name=_("paper")
    )

    class Meta:
        verbose_name = _("brewer")
        verbose_name_plural = _("brewers")
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(outflow=Outflow.VALVE, valve_base__isnull=False)
                | ~Q(outflow=Outflow.VALVE) & Q(valve_base__isnull=True),
                name="brewer_valve_has_base",
                violation_error_message=_("Valve base: needed for a brewer with a valve, and for no other."),
            )
        ]

    def __str__(self) -> str:
        return self.name

    def clean(self) -> None:
        if self.vessel_id is None:
            return
        errors = {}
        if self.valve_base_id and not self.vessel.fits_bases.filter(pk=self.valve_base_id).exists():
            errors["valve_base"] = _("%(vessel)s does not stand on %(base)s. Choose a base listed with the cone.") % {
                "vessel": self.vessel,
                "base": self.valve_base,
            }
        if self.paper_id and not self.vessel.fits_papers.filter(pk=self.paper_id).exists():
            errors["paper"] = _("%(paper)s does not fit %(vessel)s. Choose a paper listed with the cone.") % {
                "vessel": self.vessel,
                "paper": self.paper,
            }
        if errors:
            raise ValidationError(errors)
