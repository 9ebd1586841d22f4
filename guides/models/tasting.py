"""A blind tasting: cups under codes, tasters on their own phones, and nothing told before the reveal."""

from __future__ import annotations

from django.conf import settings
from django.core.validators import RegexValidator
from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.choices import TastingKind

from .base import Mutability, Record


class Tasting(Record):
    """``number`` is what tasters type; ``title`` is for the desk alone, or it would tell what is in the cups."""

    mutability = Mutability.MUTABLE
    on_pages = False

    number = models.CharField(
        _("tasting number"), max_length=6, unique=True, editable=False, validators=[RegexValidator(r"^[1-9]\d{5}$")]
    )
    kind = models.CharField(_("kind"), max_length=10, choices=TastingKind, default=TastingKind.PREFERENCE)
    title = models.CharField(
        _("what is compared"),
        max_length=120,
        help_text=_("For the desk alone, such as: Rope Walk, 15 or 16 g. Tasters don't see it before the reveal."),
    )
    opened_at = models.DateTimeField(_("opened at"), default=timezone.now, editable=False)
    opened_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, editable=False, related_name="+", verbose_name=_("opened by")
    )
    revealed_at = models.DateTimeField(_("revealed at"), null=True, blank=True, editable=False)
    revealed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        blank=True,
        editable=False,
        related_name="+",
        verbose_name=_("revealed by"),
    )

    class Meta:
        verbose_name = _("blind tasting")
        verbose_name_plural = _("blind tastings")
        ordering = ["-opened_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(revealed_at__isnull=True, revealed_by__isnull=True)
                | Q(revealed_at__isnull=False, revealed_by__isnull=False),
                name="tasting_revealed_by_and_at",
                violation_error_message=_("Reveal: who and when stand together."),
            ),
        ]

    def __str__(self) -> str:
        return self.title

    @property
    def is_revealed(self) -> bool:
        return self.revealed_at is not None
