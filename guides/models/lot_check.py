"""One look whether a bag and an insert belong together: what was scanned, and what the answer was."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.choices import CheckAnswer, CheckMeans

from .base import AppendOnly
from .lot import Lot

LONGEST_CODE = 300


def _lot(verbose: Any) -> models.ForeignKey:
    return models.ForeignKey(Lot, models.PROTECT, null=True, blank=True, related_name="+", verbose_name=verbose)


class LotCheck(AppendOnly):
    on_pages = False

    at = models.DateTimeField(_("at"), default=timezone.now)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", verbose_name=_("by"))
    bag_text = models.CharField(_("read on the bag"), max_length=LONGEST_CODE)
    insert_text = models.CharField(_("read on the insert"), max_length=LONGEST_CODE, blank=True)
    bag = _lot(_("lot of the bag"))
    insert = _lot(_("lot of the insert"))
    answer = models.CharField(_("answer"), max_length=10, choices=CheckAnswer)
    means = models.CharField(_("read with"), max_length=8, choices=CheckMeans, default=CheckMeans.KEYS)

    class Meta:
        verbose_name = _("check of bag and insert")
        verbose_name_plural = _("checks of bags and inserts")
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"{self.bag or self.bag_text} · {self.get_answer_display()}"
