"""The picture of a coffee. It may change at any time."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _

from .base import Mutability, Record
from .coffee import Coffee
from .kept_picture import KeptPicture


class CoffeePicture(KeptPicture, Record):
    mutability = Mutability.MUTABLE

    coffee = models.OneToOneField(Coffee, models.CASCADE, related_name="picture", verbose_name=_("coffee"))

    class Meta(KeptPicture.Meta):
        verbose_name = _("picture of a coffee")
        verbose_name_plural = _("pictures of coffees")
        ordering = ["coffee__name"]

    def __str__(self) -> str:
        return str(self.coffee)
