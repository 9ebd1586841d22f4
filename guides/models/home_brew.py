"""A brew that somebody made at home and chose to send."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from .base import Mutability, Record
from .guide_version import GuideVersion
from .lot import Lot

LONGEST = 2000


class HomeBrew(Record):
    """Nothing here says who brewed. ``text`` is what they read before they sent it, word for word.

    Dose and grind are of the plan as it was adapted, ``grinder`` the roastery's one it was adapted to, ``own`` for
    theirs, empty where they named none. ``drained_s`` is the clock second they tapped, and the window is the one that
    their plan gave: a smaller dose has another than the guide's.
    """

    mutability = Mutability.MUTABLE
    on_pages = False

    version = models.ForeignKey(GuideVersion, models.PROTECT, related_name="home_brews", verbose_name=_("guide"))
    lot = models.ForeignKey(
        Lot, models.PROTECT, null=True, blank=True, related_name="home_brews", verbose_name=_("from a bag of")
    )
    language = models.CharField(_("language"), max_length=8, choices=settings.LANGUAGES)
    sent_at = models.DateTimeField(_("sent at"), default=timezone.now)
    dose_g = models.DecimalField(_("dose, g"), max_digits=6, decimal_places=1)
    grind_um = models.PositiveSmallIntegerField(_("grind, median µm"))
    brewer = models.CharField(_("brewer"), max_length=120)
    drained_s = models.PositiveSmallIntegerField(_("drained"), null=True, blank=True)
    grinder = models.CharField(_("grinder"), max_length=60, blank=True)
    window_low_s = models.PositiveSmallIntegerField(_("drained expected from"), null=True, blank=True)
    window_high_s = models.PositiveSmallIntegerField(_("drained expected until"), null=True, blank=True)
    text = models.TextField(_("as it was sent"), max_length=LONGEST, blank=True)  # the constraint names the field

    class Meta:
        verbose_name = _("brew from a customer")
        verbose_name_plural = _("brews from customers")
        ordering = ["-sent_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(dose_g__gt=0),
                name="home_brew_dose_positive",
                violation_error_message=_("Dose: more than 0 g."),
            ),
            models.CheckConstraint(
                condition=Q(drained_s__isnull=True) | Q(drained_s__lte=7200),
                name="home_brew_drained_range",
                violation_error_message=_("Drained: up to two hours."),
            ),
            models.CheckConstraint(
                condition=Q(window_low_s__isnull=True, window_high_s__isnull=True)
                | Q(window_low_s__isnull=False, window_low_s__lte=F("window_high_s")),
                name="home_brew_window_whole",
                violation_error_message=_("Expected: from and until stand together, in order."),
            ),
            models.CheckConstraint(
                condition=~Q(text=""),
                name="home_brew_has_text",
                violation_error_message=_("Text: not empty."),
            ),
        ]

    def __str__(self) -> str:
        return str(_("brew %(number)s of %(version)s") % {"number": self.pk, "version": self.version})
