"""A cup of a blind tasting: what is in it, and the code it stands under."""

from __future__ import annotations

from django.core.validators import RegexValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from .base import Mutability, Record
from .lot import Lot
from .tasting import Tasting
from .trial_brew import TrialBrew


class TastingCup(Record):
    """``sample`` numbers what is compared from 1. A triangle test pours each of its two samples under two codes."""

    mutability = Mutability.MUTABLE
    on_pages = False

    tasting = models.ForeignKey(Tasting, models.CASCADE, related_name="cups", verbose_name=_("blind tasting"))
    sample = models.PositiveSmallIntegerField(_("sample"))
    code = models.CharField(_("code"), max_length=3, validators=[RegexValidator(r"^[1-9]\d\d$")])
    lot = models.ForeignKey(
        Lot, models.PROTECT, null=True, blank=True, related_name="tasting_cups", verbose_name=_("lot")
    )
    trial_brew = models.ForeignKey(
        TrialBrew, models.PROTECT, null=True, blank=True, related_name="tasting_cups", verbose_name=_("trial brew")
    )

    class Meta:
        verbose_name = _("cup of a blind tasting")
        verbose_name_plural = _("cups of a blind tasting")
        ordering = ["sample", "code"]
        constraints = [
            models.UniqueConstraint(
                fields=["tasting", "code"],
                name="tasting_cup_code_once",
                violation_error_message=_("Code: another cup of this tasting stands under it."),
            ),
            models.CheckConstraint(
                condition=Q(lot__isnull=True, trial_brew__isnull=False) | Q(lot__isnull=False, trial_brew__isnull=True),
                name="tasting_cup_is_of_one_thing",
                violation_error_message=_("Cup: of a trial brew or of a lot, one of the two."),
            ),
            models.CheckConstraint(
                condition=Q(sample__gte=1, sample__lte=4),
                name="tasting_cup_sample_range",
                violation_error_message=_("Sample: 1 to 4."),
            ),
        ]

    def __str__(self) -> str:
        return self.code
