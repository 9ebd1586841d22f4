"""A place away from the roastery where its guides are brewed and taught: a café, a training room."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from guides.codes import short_code

from .base import FrozenRow, Mutability, Record
from .brewer import Brewer
from .grinder import Grinder
from .guide import Guide

_MOST_MG_L = 1000


class Site(Record):
    """Guides are adapted to its water, height and brewers; ``guides`` are those its trainees are signed off for."""

    mutability = Mutability.MUTABLE
    on_pages = False

    # Printed on its wall sheets, like a lot's: it never changes, and a site is never deleted.
    code = models.CharField(_("address code"), max_length=8, unique=True, default=short_code.new, editable=False)
    name = models.CharField(_("name"), max_length=80, unique=True)
    place = models.CharField(_("place"), max_length=80, blank=True)
    altitude_m = models.PositiveSmallIntegerField(
        _("altitude, m"), default=0, help_text=_("Above the sea, such as 1480: it says what water boils at.")
    )
    tap_hardness_mg_l = models.PositiveSmallIntegerField(
        _("tap hardness, mg/L as CaCO3"), null=True, blank=True, help_text=_("Empty where nobody has measured it.")
    )
    tap_alkalinity_mg_l = models.PositiveSmallIntegerField(
        _("tap alkalinity, mg/L as CaCO3"), null=True, blank=True, help_text=_("Empty where nobody has measured it.")
    )
    grinder = models.ForeignKey(
        Grinder,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="sites",
        verbose_name=_("grinder"),
        help_text=_("Its setting is printed; empty: the grind in µm and in words."),
    )
    brewers = models.ManyToManyField(
        Brewer,
        blank=True,
        related_name="sites",
        verbose_name=_("brewers that stand here"),
        help_text=_("A guide for another brewer is adapted to the one of these that is most like it; empty: to none."),
    )
    guides = models.ManyToManyField(
        Guide,
        blank=True,
        related_name="sites",
        verbose_name=_("guides taught here"),
        help_text=_("Trainees are asked to be signed off for these."),
    )

    class Meta:
        verbose_name = _("site")
        verbose_name_plural = _("sites")
        ordering = ["name"]
        permissions = [("sign_off_trainee", _("Can sign a trainee off"))]
        constraints = [
            models.CheckConstraint(
                condition=Q(altitude_m__lte=5000),
                name="site_altitude_range",
                violation_error_message=_("Altitude: 0 to 5000 m."),
            ),
            models.CheckConstraint(
                condition=Q(tap_hardness_mg_l__isnull=True) | Q(tap_hardness_mg_l__lte=_MOST_MG_L),
                name="site_hardness_range",
                violation_error_message=_("Hardness: 0 to 1000 mg/L."),
            ),
            models.CheckConstraint(
                condition=Q(tap_alkalinity_mg_l__isnull=True) | Q(tap_alkalinity_mg_l__lte=_MOST_MG_L),
                name="site_alkalinity_range",
                violation_error_message=_("Alkalinity: 0 to 1000 mg/L."),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        raise FrozenRow(_("%(what)s: its code hangs on walls, so it stays.") % {"what": self})
