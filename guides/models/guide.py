"""A guide's lasting identity; what it says lives in its versions."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from .base import FrozenRow, Mutability, Record
from .coffee import Coffee


class Guide(Record):
    mutability = Mutability.MUTABLE

    number = models.PositiveSmallIntegerField(
        _("number"), unique=True, help_text=_("Printed in the address on inserts; it stays.")
    )
    slug = models.SlugField(_("address word"), max_length=80, unique=True)
    coffee = models.ForeignKey(
        Coffee,
        models.PROTECT,
        related_name="guides",
        limit_choices_to={"merged_into": None},
        verbose_name=_("coffee"),
    )

    class Meta:
        verbose_name = _("guide")
        verbose_name_plural = _("guides")
        ordering = ["number"]
        constraints = [
            models.CheckConstraint(
                condition=Q(number__gte=1), name="guide_number_from_one", violation_error_message=_("Number: from 1.")
            )
        ]

    def __str__(self) -> str:
        return self.slug

    def save(self, *args: Any, **kwargs: Any) -> None:
        printed = type(self)._base_manager.filter(pk=self.pk, versions__revision__isnull=False).first()
        if printed is not None and printed.number != self.number:
            raise FrozenRow(
                _("Number: %(number)s is printed on inserts and stays. Make a new guide instead.")
                % {"number": printed.number}
            )
        super().save(*args, **kwargs)
