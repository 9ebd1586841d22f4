"""A grinder known by its calibration points."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from .base import Mutability, Record


class Grinder(Record):
    mutability = Mutability.MUTABLE

    name = models.CharField(_("name"), max_length=60, unique=True)
    slug = models.SlugField(_("address word"), max_length=60, unique=True)
    setting_word = models.CharField(
        _("what a setting is called"), max_length=20, default="dial", help_text=_("Such as dial or clicks.")
    )
    step = models.DecimalField(
        _("smallest step"), max_digits=4, decimal_places=2, default=1, help_text=_("Settings are rounded to it.")
    )

    class Meta:
        verbose_name = _("grinder")
        verbose_name_plural = _("grinders")
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(step__gt=0),
                name="grinder_step_positive",
                violation_error_message=_("Smallest step: more than 0."),
            )
        ]

    def __str__(self) -> str:
        return self.name
