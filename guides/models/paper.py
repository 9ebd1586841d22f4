"""Filter papers."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from .base import Mutability, Record


class Paper(Record):
    mutability = Mutability.MUTABLE

    name = models.CharField(_("name"), max_length=60, unique=True)

    class Meta:
        verbose_name = _("paper")
        verbose_name_plural = _("papers")
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name
