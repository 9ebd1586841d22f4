"""Where bags of a lot went: one step down the trace. Names of places only, nobody's name."""

from __future__ import annotations

import datetime

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.choices import Outlet

from .base import AppendOnly
from .lot import Lot


def not_to_come(day: datetime.date) -> None:
    if day > timezone.localdate():
        raise ValidationError(_("Day: it is still to come."))


class Dispatch(AppendOnly):
    """``bags`` is below 0 for bags that came back, or to put an earlier line right."""

    on_pages = False

    lot = models.ForeignKey(Lot, models.PROTECT, related_name="dispatches", verbose_name=_("lot"))
    outlet = models.CharField(_("where to"), max_length=8, choices=Outlet)
    place = models.CharField(_("place"), max_length=80, blank=True)
    bags = models.IntegerField(_("bags"))
    on = models.DateField(_("day"), default=timezone.localdate, validators=[not_to_come])
    recorded_at = models.DateTimeField(_("recorded at"), default=timezone.now, editable=False)
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", verbose_name=_("recorded by")
    )

    class Meta:
        verbose_name = _("bags that went out")
        verbose_name_plural = _("bags that went out")
        ordering = ["lot", "on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(bags=0),
                name="dispatch_some_bags",
                violation_error_message=_("Bags: 1 or more, or below 0 for bags that came back."),
            ),
            models.CheckConstraint(
                condition=~Q(outlet=Outlet.CAFE, place=""),
                name="dispatch_cafe_has_place",
                violation_error_message=_("Place: name the café or shop, so that it can be told."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.lot}: {self.bags} · {self.place or self.get_outlet_display()}"
