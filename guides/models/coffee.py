"""A coffee as it is sold."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.core.validators import RegexValidator
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from guides.choices import RoastLevel
from guides.codes import gs1

from .base import FrozenRow, Mutability, Record


def validate_gtin(value: str) -> None:
    if not gs1.is_gtin14(value):
        raise ValidationError(
            _(
                "GTIN: 14 digits with a fitting check digit; put zeros in front of a shorter one. "
                "“%(value)s” is not one."
            )
            % {"value": value}
        )


class Coffee(Record):
    """One coffee; its lots come and go."""

    mutability = Mutability.MUTABLE

    name = models.CharField(_("name"), max_length=60, unique=True)
    code = models.CharField(
        _("code"),
        max_length=6,
        unique=True,
        validators=[RegexValidator(r"^[A-Z0-9]{1,6}$", _("Code: one to six capital letters or digits, such as OM."))],
        help_text=_("Leads the names of its lots, such as OM for OM-071."),
    )
    slug = models.SlugField(_("address word"), max_length=60, unique=True)
    origin = models.CharField(_("origin"), max_length=80, blank=True)
    process = models.CharField(_("process"), max_length=60, blank=True)
    roast_level = models.CharField(_("roast"), max_length=16, choices=RoastLevel, default=RoastLevel.MEDIUM)
    description = models.TextField(_("description"), max_length=600, blank=True)
    gtin = models.CharField(
        _("GTIN of the pack"),
        max_length=14,
        blank=True,
        validators=[validate_gtin],
        help_text=_("14 digits; optional."),
    )
    prints_digital_link = models.BooleanField(
        _("GS1 Digital Link on paper"),
        default=False,
        help_text=_(
            "Off: codes on paper carry our own short address, which tells the revision of an insert apart. On: they "
            "carry GTIN and lot as shops and tills read them, and lead to the newest revision. Both work for ever."
        ),
    )
    is_current = models.BooleanField(_("on sale"), default=True)
    merged_into = models.ForeignKey(
        "self",
        models.PROTECT,
        null=True,
        blank=True,
        editable=False,
        related_name="merged",
        verbose_name=_("now part of"),
    )

    class Meta:
        verbose_name = _("coffee")
        verbose_name_plural = _("coffees")
        permissions = [("merge_coffee", _("Can make one coffee of two"))]
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                fields=["gtin"],
                condition=~Q(gtin=""),
                name="coffee_gtin_once",
                violation_error_message=_("GTIN: another coffee has it already."),
            ),
            models.CheckConstraint(
                condition=Q(prints_digital_link=False) | ~Q(gtin=""),
                name="coffee_digital_link_has_gtin",
                violation_error_message=_("GS1 Digital Link on paper: needs the GTIN of the pack; write that first."),
            ),
            models.CheckConstraint(
                condition=Q(merged_into__isnull=True) | ~Q(merged_into=F("id")) & Q(is_current=False),
                name="coffee_merged_is_off_sale",
                violation_error_message=_("Now part of: another coffee; and this one is not on sale."),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def remaining(self) -> Coffee:
        """The coffee that this one is part of now: mostly itself."""
        coffee = self
        while coffee.merged_into is not None:
            coffee = coffee.merged_into
        return coffee

    def clean(self) -> None:
        super().clean()
        if reason := self._merged_refusal():
            raise ValidationError(reason)
        if reason := self._printed_gtin_refusal():
            raise ValidationError({"gtin": reason})

    def save(self, *args: Any, **kwargs: Any) -> None:
        if reason := self._merged_refusal() or self._printed_gtin_refusal():
            raise FrozenRow(reason)
        super().save(*args, **kwargs)

    def _merged_refusal(self) -> str:
        if self.merged_into is None or self._state.adding:
            return ""
        return _("%(coffee)s is part of %(now)s now. What is left of it leads printed links there, and stays.") % {
            "coffee": self.name,
            "now": self.remaining.name,
        }

    def _printed_gtin_refusal(self) -> str:
        """Why this GTIN will not do, where another stands in Digital Links on paper; empty if it will."""
        coded = type(self)._base_manager.filter(pk=self.pk, lots__addresses__isnull=False).exclude(gtin="")
        printed = coded.values_list("gtin", flat=True).first()
        if printed is None or printed == self.gtin:
            return ""
        return _(
            "GTIN: %(gtin)s leads to lots that are packed already, and what is printed must lead there for ever. Make "
            "a new coffee for another pack."
        ) % {"gtin": printed}
