"""The cone or jar that holds the coffee, and what fits it."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from guides.choices import VesselShape

from .base import Mutability, Record
from .paper import Paper
from .valve_base import ValveBase


class Vessel(Record):
    """Geometry, capacity and heat of a cone or a straight-walled jar."""

    mutability = Mutability.MUTABLE

    name = models.CharField(_("name"), max_length=60, unique=True)
    shape = models.CharField(_("shape"), max_length=10, choices=VesselShape, default=VesselShape.CONE)
    half_angle_deg = models.DecimalField(
        _("half angle, °"), max_digits=4, decimal_places=1, null=True, blank=True, help_text=_("30 for a 60° cone.")
    )
    outlet_radius_mm = models.DecimalField(
        _("outlet radius, mm"), max_digits=4, decimal_places=1, null=True, blank=True
    )
    radius_mm = models.DecimalField(_("radius, mm"), max_digits=5, decimal_places=1, null=True, blank=True)
    usable_ml = models.PositiveIntegerField(
        _("usable volume, mL"), help_text=_("Cold water up to the line, paper in place: weigh it, 1 g is 1 mL.")
    )
    heat_j_per_k = models.PositiveSmallIntegerField(
        _("heat capacity, J/K"), default=35, help_text=_("About 35 small plastic, 60 large plastic, 150 a glass jar.")
    )
    fits_papers = models.ManyToManyField(Paper, blank=True, related_name="vessels", verbose_name=_("papers that fit"))
    fits_bases = models.ManyToManyField(
        ValveBase, blank=True, related_name="vessels", verbose_name=_("valve bases it stands on")
    )

    class Meta:
        verbose_name = _("cone or jar")
        verbose_name_plural = _("cones and jars")
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(usable_ml__gt=0),
                name="vessel_usable_positive",
                violation_error_message=_("Usable volume: more than 0 mL; weigh the water it holds."),
            ),
            models.CheckConstraint(
                # NULL makes a comparison neither true nor false, and a check passes what is not false.
                condition=Q(
                    shape=VesselShape.CONE,
                    half_angle_deg__isnull=False,
                    half_angle_deg__gt=0,
                    half_angle_deg__lt=90,
                    outlet_radius_mm__isnull=False,
                    outlet_radius_mm__gt=0,
                )
                | Q(shape=VesselShape.CYLINDER, radius_mm__isnull=False, radius_mm__gt=0),
                name="vessel_shape_complete",
                violation_error_message=_(
                    "Shape: a cone needs half angle and outlet radius, a straight wall its radius."
                ),
            ),
        ]

    def __str__(self) -> str:
        return self.name
