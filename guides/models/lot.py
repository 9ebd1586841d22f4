"""A packed lot: what is in the bags that carry one code."""

from __future__ import annotations

import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.core.validators import RegexValidator
from django.db import models
from django.db.models import F, Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.choices import Gas, RoastLevel

from .base import FrozenRow, Mutability
from .coffee import Coffee
from .recallable import Recallable, recall_complete


def not_in_the_future(value: datetime.date) -> None:
    today = timezone.localdate()
    if value > today:
        raise ValidationError(
            _("Roasted on: %(value)s is in the future; today is %(today)s.") % {"value": value, "today": today}
        )


class Lot(Recallable):
    """One packed lot. ``green_kg`` and ``loss_percent`` are of the roasts it was packed from, taken together."""

    mutability = Mutability.MUTABLE

    name = models.CharField(
        _("lot name"),
        max_length=20,
        unique=True,
        validators=[
            RegexValidator(r"^[0-9A-Z.-]{1,20}$", _("Lot name: 1 to 20 capital letters, digits, points or hyphens."))
        ],
        help_text=_("Capital letters, digits, points and hyphens, such as OM-084. It is printed on bags and stays."),
        error_messages={"unique": _("Lot name: this one is used already. Names are never used twice.")},
    )
    coffee = models.ForeignKey(
        Coffee,
        models.PROTECT,
        related_name="lots",
        limit_choices_to={"merged_into": None},
        verbose_name=_("coffee"),
    )
    roasted_on = models.DateField(_("roasted on"), validators=[not_in_the_future])
    roast_level = models.CharField(
        _("roast"), max_length=16, choices=RoastLevel, blank=True, help_text=_("Empty: as the coffee.")
    )
    green_kg = models.DecimalField(_("green, kg"), max_digits=7, decimal_places=2)
    loss_percent = models.DecimalField(_("roast loss, %"), max_digits=4, decimal_places=1)
    qc_kg = models.DecimalField(_("kept for tasting, kg"), max_digits=5, decimal_places=2, default=0)
    bag_g = models.PositiveIntegerField(_("bag, g"), default=250)
    gas = models.CharField(
        _("gas"), max_length=12, choices=Gas, default=Gas.LIVELY, help_text=_("How much the bed swells on that date.")
    )
    gas_on = models.DateField(_("gas seen on"), null=True, blank=True, help_text=_("Empty: a week after roasting."))
    rest_days = models.PositiveSmallIntegerField(
        _("first good day"), null=True, blank=True, help_text=_("Days after roasting. Empty: by roast level.")
    )
    best_days = models.PositiveSmallIntegerField(
        _("last best day"), null=True, blank=True, help_text=_("Days after roasting. Empty: by roast level.")
    )
    is_public = models.BooleanField(
        _("shown to customers"), default=True, help_text=_("Off: its code answers with a holding page.")
    )

    class Meta:
        verbose_name = _("lot")
        verbose_name_plural = _("lots")
        permissions = [
            ("recall_lot", _("Can recall a lot")),
            ("print_lot", _("Can print inserts for a lot")),
        ]
        ordering = ["-roasted_on", "name"]
        indexes = [models.Index(fields=["coffee", "-roasted_on", "-id"], name="lot_newest_of_coffee")]
        constraints = [
            models.CheckConstraint(
                condition=Q(green_kg__gt=0),
                name="lot_green_positive",
                violation_error_message=_("Green: more than 0 kg."),
            ),
            models.CheckConstraint(
                condition=Q(loss_percent__gte=0, loss_percent__lt=50),
                name="lot_loss_range",
                violation_error_message=_("Roast loss: 0 to 50 %%; 11 to 17 %% is usual."),
            ),
            models.CheckConstraint(
                condition=Q(qc_kg__gte=0),
                name="lot_qc_not_negative",
                violation_error_message=_("Kept for tasting: 0 kg or more."),
            ),
            models.CheckConstraint(
                condition=Q(bag_g__gt=0), name="lot_bag_positive", violation_error_message=_("Bag: more than 0 g.")
            ),
            models.CheckConstraint(
                condition=Q(rest_days__isnull=True, best_days__isnull=True)
                | Q(rest_days__isnull=False, best_days__isnull=False, rest_days__lt=F("best_days")),
                name="lot_window_in_order",
                violation_error_message=_(
                    "First good day and last best day: give both, the first before the last, or neither."
                ),
            ),
            recall_complete("lot_recall_complete"),
        ]

    def __str__(self) -> str:
        return self.name

    def clean(self) -> None:
        super().clean()
        for name, reason in self._printed_refusals().items():
            raise ValidationError({name: reason})
        if self.coffee_id and self.coffee.merged_into_id is not None:
            text = _("Coffee: %(coffee)s is part of %(now)s now. Choose that.")
            raise ValidationError({"coffee": text % {"coffee": self.coffee, "now": self.coffee.remaining}})

    def save(self, *args: Any, **kwargs: Any) -> None:
        for reason in self._printed_refusals().values():
            raise FrozenRow(reason)
        super().save(*args, **kwargs)

    def _printed_refusals(self) -> dict[str, str]:
        """Why its coffee or name will not do, where its code leads elsewhere; by field, empty if they will."""
        if self._state.adding:
            return {}
        coded = type(self)._base_manager.filter(pk=self.pk, addresses__isnull=False).select_related("coffee")
        printed = coded.exclude(coffee=self.coffee_id, name=self.name).first()
        if printed is None:
            return {}
        if printed.name != self.name:
            return {"name": _("Lot name: %(name)s is printed beside its code, and stays.") % {"name": printed.name}}
        text = _(
            "Coffee: the code of %(lot)s leads to %(coffee)s, and may be on bags. Enter a new lot for another coffee, "
            "and take “shown to customers” off this one."
        )
        return {"coffee": text % {"lot": printed.name, "coffee": printed.coffee}}

    @property
    def effective_roast_level(self) -> str:
        return self.roast_level or self.coffee.roast_level
