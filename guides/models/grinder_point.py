"""One measured setting of a grinder."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from guides.choices import MeasuredBy

from .base import Mutability, Record
from .grinder import Grinder


class GrinderPoint(Record):
    mutability = Mutability.MUTABLE

    grinder = models.ForeignKey(Grinder, models.CASCADE, related_name="points", verbose_name=_("grinder"))
    setting = models.DecimalField(_("setting"), max_digits=6, decimal_places=2)
    median_um = models.PositiveSmallIntegerField(_("median, µm"))
    measured_by = models.CharField(_("measured by"), max_length=10, choices=MeasuredBy, default=MeasuredBy.LASER)

    class Meta:
        verbose_name = _("calibration point")
        verbose_name_plural = _("calibration points")
        ordering = ["setting"]
        constraints = [
            models.UniqueConstraint(
                fields=["grinder", "setting"],
                name="grinder_point_setting_once",
                violation_error_message=_("Setting: this one has a point already."),
            ),
            models.CheckConstraint(
                condition=Q(median_um__gte=100, median_um__lte=2500),
                name="grinder_point_median_range",
                violation_error_message=_("Median: 100 to 2500 µm."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.setting} → {self.median_um} µm"
