"""A brew that somebody made and measured. A check brew is one made from a guide by a second person."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.choices import Sample

from .base import Mutability, Record
from .brewer import Brewer
from .guide_version import GuideVersion
from .lot import Lot


class TrialBrew(Record):
    """What was planned comes from ``version`` where one was followed; what is filled here is what happened."""

    mutability = Mutability.MUTABLE

    lot = models.ForeignKey(Lot, models.PROTECT, related_name="trial_brews", verbose_name=_("lot"))
    version = models.ForeignKey(
        GuideVersion, models.PROTECT, null=True, blank=True, related_name="trial_brews", verbose_name=_("plan followed")
    )
    is_check_brew = models.BooleanField(
        _("check brew"), default=False, help_text=_("Brewed from the guide alone, by somebody who did not write it.")
    )
    brewed_at = models.DateTimeField(_("brewed at"), default=timezone.now)
    brewed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="trial_brews", verbose_name=_("brewed by")
    )
    brewer = models.ForeignKey(Brewer, models.PROTECT, related_name="trial_brews", verbose_name=_("brewer"))
    dose_g = models.DecimalField(_("dose, g"), max_digits=6, decimal_places=1)
    water_g = models.DecimalField(_("water through the coffee, g"), max_digits=6, decimal_places=1)
    bypass_g = models.DecimalField(_("water added to the cup, g"), max_digits=6, decimal_places=1, default=0)
    kettle_c = models.DecimalField(_("kettle read, °C"), max_digits=4, decimal_places=1)
    grind_um = models.PositiveSmallIntegerField(_("grind, median µm"))
    opened_s = models.PositiveSmallIntegerField(_("valve opened"), null=True, blank=True)
    first_drip_s = models.PositiveSmallIntegerField(_("first drip"), null=True, blank=True)
    drained_s = models.PositiveSmallIntegerField(_("drained"), null=True, blank=True)
    cup_g = models.DecimalField(_("in the cup, g"), max_digits=6, decimal_places=1, null=True, blank=True)
    strength_percent = models.DecimalField(_("strength, %"), max_digits=4, decimal_places=2, null=True, blank=True)
    sample = models.CharField(_("drops taken"), max_length=14, choices=Sample, blank=True)
    taste = models.CharField(_("taste"), max_length=300, blank=True)
    liking = models.PositiveSmallIntegerField(_("liking, 0 to 10"), null=True, blank=True)

    class Meta:
        verbose_name = _("trial brew")
        verbose_name_plural = _("trial brews")
        ordering = ["-brewed_at"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(is_check_brew=True, version__isnull=True),
                name="trial_check_brew_has_plan",
                violation_error_message=_("Plan followed: a check brew is brewed from a guide; choose it."),
            ),
            models.CheckConstraint(
                condition=Q(dose_g__gt=0, water_g__gt=0, bypass_g__gte=0),
                name="trial_masses_positive",
                violation_error_message=_("Dose and water: more than 0 g."),
            ),
            models.CheckConstraint(
                condition=Q(liking__isnull=True) | Q(liking__lte=10),
                name="trial_liking_range",
                violation_error_message=_("Liking: 0 to 10."),
            ),
            models.CheckConstraint(
                condition=Q(strength_percent__isnull=True, sample="")
                | Q(strength_percent__isnull=False, strength_percent__gt=0) & ~Q(sample=""),
                name="trial_strength_says_where",
                violation_error_message=_("Drops taken: say where, with every strength reading."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.lot}, {timezone.localtime(self.brewed_at):%Y-%m-%d %H:%M}"
