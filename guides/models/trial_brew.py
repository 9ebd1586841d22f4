"""A brew that somebody at the roastery made and measured. A check brew is made from a guide by a second person."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.choices import Balance, Bed, Found, Method, Sample, Wall

from .base import Mutability, Record
from .brewer import Brewer
from .guide_version import GuideVersion
from .lot import Lot

_MOST_MG_L = 1000


class TrialBrew(Record):
    """What happened, beside what was planned.

    The plan comes from ``version``, another brew (``repeats``) or a usual plan (``preset``); ``planned`` keeps it as it
    was on the day, and ``predicted`` what was foreseen of it then. ``pours`` are [from s, to s, scale g], where they
    were not as planned. ``flow_factor`` and ``retention_g_g`` are what the brew taught under the formulas
    ``learnt_with``; saving forgets them, for whatever was saved may teach something else.
    """

    mutability = Mutability.MUTABLE
    on_pages = False

    lot = models.ForeignKey(Lot, models.PROTECT, related_name="trial_brews", verbose_name=_("lot"))
    version = models.ForeignKey(
        GuideVersion, models.PROTECT, null=True, blank=True, related_name="trial_brews", verbose_name=_("plan followed")
    )
    repeats = models.ForeignKey(
        "self", models.SET_NULL, null=True, blank=True, related_name="repeated_by", verbose_name=_("repeats")
    )
    preset = models.CharField(_("usual plan followed"), max_length=12, choices=Method, blank=True)
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
    water_used = models.CharField(_("water"), max_length=120, blank=True)
    hardness_mg_l = models.PositiveSmallIntegerField(_("hardness, mg/L as CaCO3"), null=True, blank=True)
    alkalinity_mg_l = models.PositiveSmallIntegerField(_("alkalinity, mg/L as CaCO3"), null=True, blank=True)
    room_c = models.DecimalField(_("room, °C"), max_digits=4, decimal_places=1, null=True, blank=True)
    pours = models.JSONField(_("pours as they were"), default=list, blank=True)
    opened_s = models.PositiveSmallIntegerField(_("valve opened"), null=True, blank=True)
    first_drip_s = models.PositiveSmallIntegerField(_("first drip"), null=True, blank=True)
    drained_s = models.PositiveSmallIntegerField(_("drained"), null=True, blank=True)
    bed_c = models.DecimalField(_("hottest in the brewer, °C"), max_digits=4, decimal_places=1, null=True, blank=True)
    cup_g = models.DecimalField(_("in the cup, g"), max_digits=6, decimal_places=1, null=True, blank=True)
    strength_percent = models.DecimalField(_("strength, %"), max_digits=4, decimal_places=2, null=True, blank=True)
    sample = models.CharField(_("drops taken"), max_length=14, choices=Sample, blank=True)
    last_drops_percent = models.DecimalField(
        _("strength of the last drops, %"), max_digits=4, decimal_places=2, null=True, blank=True
    )
    found = models.CharField(_("found"), max_length=8, choices=Found, blank=True)
    balance = models.CharField(_("balance"), max_length=10, choices=Balance, blank=True)
    wall = models.CharField(_("grounds on the wall"), max_length=6, choices=Wall, blank=True)
    bed = models.CharField(_("the spent bed"), max_length=8, choices=Bed, blank=True)
    taste = models.CharField(_("taste"), max_length=300, blank=True)
    liking = models.PositiveSmallIntegerField(_("liking, 0 to 10"), null=True, blank=True)
    set_aside_at = models.DateTimeField(_("set aside at"), null=True, blank=True, editable=False)
    set_aside_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+", editable=False,
        verbose_name=_("set aside by"),
    )  # fmt: skip
    set_aside_reason = models.CharField(_("why set aside"), max_length=200, blank=True, editable=False)
    planned = models.JSONField(null=True, blank=True, editable=False)
    predicted = models.JSONField(null=True, blank=True, editable=False)
    flow_factor = models.FloatField(null=True, blank=True, editable=False)
    retention_g_g = models.FloatField(null=True, blank=True, editable=False)
    learnt_with = models.CharField(max_length=16, blank=True, editable=False)

    class Meta:
        verbose_name = _("trial brew")
        verbose_name_plural = _("trial brews")
        ordering = ["-brewed_at"]
        indexes = [
            models.Index(fields=["-brewed_at"], name="trial_newest_first"),
            models.Index(fields=["-brewed_at", "-id"], condition=Q(is_check_brew=True), name="trial_newest_checks"),
        ]
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
            models.CheckConstraint(
                condition=Q(last_drops_percent__isnull=True)
                | Q(strength_percent__isnull=False, last_drops_percent__gte=0),
                name="trial_last_drops_beside_strength",
                violation_error_message=_("Strength of the last drops: only beside the strength of the cup."),
            ),
            models.CheckConstraint(
                condition=Q(room_c__isnull=True) | Q(room_c__gte=0, room_c__lte=45),
                name="trial_room_range",
                violation_error_message=_("Room: 0 to 45 °C."),
            ),
            models.CheckConstraint(
                condition=(Q(hardness_mg_l__isnull=True) | Q(hardness_mg_l__lte=_MOST_MG_L))
                & (Q(alkalinity_mg_l__isnull=True) | Q(alkalinity_mg_l__lte=_MOST_MG_L)),
                name="trial_water_range",
                violation_error_message=_("Hardness and alkalinity: 0 to 1000 mg/L."),
            ),
            models.CheckConstraint(
                condition=Q(bed_c__isnull=True) | Q(bed_c__gt=0, bed_c__lte=100),
                name="trial_bed_range",
                violation_error_message=_("Hottest in the brewer: up to 100 °C."),
            ),
            models.CheckConstraint(
                condition=Q(set_aside_at__isnull=True, set_aside_by__isnull=True, set_aside_reason="")
                | Q(set_aside_at__isnull=False, set_aside_by__isnull=False) & ~Q(set_aside_reason=""),
                name="trial_set_aside_whole",
                violation_error_message=_("Why set aside: say it, with who and when."),
            ),
        ]

    def save(self, *args: Any, **kwargs: Any) -> None:
        if kwargs.get("update_fields") is None:
            self.flow_factor, self.retention_g_g, self.learnt_with = None, None, ""
        super().save(*args, **kwargs)

    @property
    def is_set_aside(self) -> bool:
        return self.set_aside_at is not None

    def __str__(self) -> str:
        return f"{self.lot}, {timezone.localtime(self.brewed_at):%Y-%m-%d %H:%M}"
