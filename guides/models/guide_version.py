"""One version of a guide: numbers as fields, words beside them, frozen once published."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.choices import FROZEN_STATES, OPEN_STATES, State

from .base import FrozenRow, Mutability, Record
from .brewer import Brewer
from .guide import Guide


def _stamp(verbose: Any) -> models.DateTimeField:
    return models.DateTimeField(verbose, null=True, blank=True, editable=False)


def _by(verbose: Any) -> models.ForeignKey:
    return models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        blank=True,
        editable=False,
        related_name="+",
        verbose_name=verbose,
    )


def _grams(verbose: Any, **options: Any) -> models.DecimalField:
    return models.DecimalField(verbose, max_digits=6, decimal_places=1, **options)


class GuideVersion(Record):
    """A plan and its words. ``revision`` is given at publishing; ``snapshot`` holds inputs, outputs and words then."""

    mutability = Mutability.FREEZES
    # Withdrawing is the one act on a frozen row; everything else is a new version.
    CHANGES_WHEN_PUBLISHED = frozenset({"state", "withdrawn_at", "withdrawn_by", "withdrawn_reason", "replacement"})

    guide = models.ForeignKey(Guide, models.PROTECT, related_name="versions", verbose_name=_("guide"))
    revision = models.PositiveSmallIntegerField(_("revision"), null=True, blank=True, editable=False)
    state = models.CharField(_("state"), max_length=10, choices=State, default=State.DRAFT, editable=False)

    language = models.CharField(_("written in"), max_length=8, choices=settings.LANGUAGES, default="en")
    title = models.CharField(_("title"), max_length=80)
    summary = models.CharField(
        _("in a sentence"), max_length=160, blank=True, help_text=_("What the cup will be like, in words.")
    )
    in_depth = models.TextField(_("in depth"), max_length=1500, blank=True)
    why = models.TextField(_("why this plan"), max_length=600, blank=True)
    change_note = models.CharField(_("what changed"), max_length=200, blank=True)

    brewer = models.ForeignKey(Brewer, models.PROTECT, related_name="versions", verbose_name=_("brewer"))
    dose_g = _grams(_("dose, g"))
    water_g = _grams(_("water through the coffee, g"))
    bypass_g = _grams(_("water added to the cup, g"), default=0)
    bypass_to_taste = models.BooleanField(_("to taste, up to that much"), default=False)
    ice_g = _grams(_("ice in the server, g"), default=0)
    kettle_c = models.DecimalField(_("kettle reads, °C"), max_digits=4, decimal_places=1)
    grind_um = models.PositiveSmallIntegerField(_("grind, median µm"))
    valve_shut_at_start = models.BooleanField(_("valve shut at the start"), default=False)
    server_ml = models.PositiveIntegerField(
        _("server, mL"), null=True, blank=True, help_text=_("Smallest that will do.")
    )

    strength_low_percent = models.DecimalField(
        _("strength from, %"), max_digits=4, decimal_places=2, null=True, blank=True
    )
    strength_high_percent = models.DecimalField(
        _("strength to, %"), max_digits=4, decimal_places=2, null=True, blank=True
    )
    extraction_percent = models.DecimalField(_("extraction, %"), max_digits=4, decimal_places=1, null=True, blank=True)

    created_at = models.DateTimeField(_("created at"), default=timezone.now, editable=False)
    created_by = _by(_("created by"))
    edit_number = models.PositiveIntegerField(default=0, editable=False)
    submitted_at = _stamp(_("submitted at"))
    submitted_by = _by(_("submitted by"))
    waiver_reason = models.CharField(_("why no check brew"), max_length=200, blank=True, editable=False)
    approved_at = _stamp(_("approved at"))
    approved_by = _by(_("approved by"))
    publish_at = _stamp(_("to be published at"))
    publish_by = _by(_("to be published by"))
    published_at = _stamp(_("published at"))
    published_by = _by(_("published by"))
    withdrawn_at = _stamp(_("withdrawn at"))
    withdrawn_by = _by(_("withdrawn by"))
    withdrawn_reason = models.CharField(_("why withdrawn"), max_length=200, blank=True, editable=False)
    replacement = models.ForeignKey(
        Guide, models.PROTECT, null=True, blank=True, editable=False, related_name="+", verbose_name=_("use instead")
    )

    calculation_version = models.CharField(_("calculation version"), max_length=12, blank=True, editable=False)
    snapshot = models.JSONField(_("snapshot"), null=True, blank=True, editable=False)
    sha256 = models.CharField(_("SHA-256"), max_length=64, blank=True, editable=False)

    class Meta:
        verbose_name = _("guide version")
        verbose_name_plural = _("guide versions")
        permissions = [
            ("submit_guideversion", _("Can submit a guide for review and take it back")),
            ("publish_guideversion", _("Can publish a guide or return it")),
            ("withdraw_guideversion", _("Can withdraw a published guide")),
        ]
        ordering = ["guide", F("revision").asc(nulls_last=True)]
        constraints = [
            models.UniqueConstraint(
                fields=["guide", "revision"],
                name="version_revision_once",
                violation_error_message=_("Revision: this guide has that one already."),
            ),
            models.UniqueConstraint(
                fields=["guide"],
                condition=Q(state__in=OPEN_STATES),
                name="version_one_draft",
                violation_error_message=_("Guide: it has an open draft already; go on with that one."),
            ),
            models.CheckConstraint(
                condition=Q(state__in=OPEN_STATES, revision__isnull=True, snapshot__isnull=True, sha256="")
                | Q(state__in=FROZEN_STATES, revision__isnull=False, revision__gte=1, snapshot__isnull=False)
                & ~Q(sha256=""),
                name="version_numbered_when_published",
                violation_error_message=_("State: a published version has a revision, a snapshot and its hash."),
            ),
            models.CheckConstraint(
                condition=Q(published_at__isnull=True, published_by__isnull=True, state__in=OPEN_STATES)
                | Q(published_at__isnull=False, published_by__isnull=False, state__in=FROZEN_STATES),
                name="version_published_by_and_at",
                violation_error_message=_("Published: who and when stand together."),
            ),
            models.CheckConstraint(
                condition=Q(submitted_at__isnull=True, submitted_by__isnull=True)
                | Q(submitted_at__isnull=False, submitted_by__isnull=False),
                name="version_submitted_by_and_at",
                violation_error_message=_("Submitted: who and when stand together."),
            ),
            models.CheckConstraint(
                condition=Q(approved_at__isnull=True, approved_by__isnull=True)
                | Q(approved_at__isnull=False, approved_by__isnull=False) & ~Q(state=State.DRAFT),
                name="version_approved_by_and_at",
                violation_error_message=_("Approved: who and when stand together, and never on a draft."),
            ),
            models.CheckConstraint(
                condition=Q(publish_at__isnull=True, publish_by__isnull=True)
                | Q(
                    publish_at__isnull=False,
                    publish_by__isnull=False,
                    approved_at__isnull=False,
                    state=State.IN_REVIEW,
                ),
                name="version_publish_at_when_approved",
                violation_error_message=_("To be published at: only for an approved version in review."),
            ),
            models.CheckConstraint(
                condition=Q(withdrawn_at__isnull=True, withdrawn_by__isnull=True, withdrawn_reason="")
                & ~Q(state=State.WITHDRAWN)
                | Q(withdrawn_at__isnull=False, withdrawn_by__isnull=False, state=State.WITHDRAWN)
                & ~Q(withdrawn_reason=""),
                name="version_withdrawn_complete",
                violation_error_message=_("Withdrawn: who, when and why stand together."),
            ),
            models.CheckConstraint(
                condition=Q(dose_g__gt=0, dose_g__lte=500),
                name="version_dose_range",
                violation_error_message=_("Dose: more than 0 and up to 500 g."),
            ),
            models.CheckConstraint(
                condition=Q(water_g__gt=0, water_g__lte=5000),
                name="version_water_range",
                violation_error_message=_("Water through the coffee: more than 0 and up to 5000 g."),
            ),
            models.CheckConstraint(
                condition=Q(bypass_g__gte=0, bypass_g__lte=5000, ice_g__gte=0, ice_g__lte=5000),
                name="version_additions_range",
                violation_error_message=_("Water added and ice: 0 to 5000 g."),
            ),
            models.CheckConstraint(
                condition=Q(kettle_c__gte=1, kettle_c__lte=100),
                name="version_kettle_range",
                violation_error_message=_("Kettle: 1 to 100 °C."),
            ),
            models.CheckConstraint(
                condition=Q(grind_um__gte=100, grind_um__lte=2000),
                name="version_grind_range",
                violation_error_message=_("Grind: 100 to 2000 µm."),
            ),
            models.CheckConstraint(
                condition=Q(strength_low_percent__isnull=True, strength_high_percent__isnull=True)
                | Q(
                    strength_low_percent__isnull=False,
                    strength_high_percent__isnull=False,
                    strength_low_percent__gt=0,
                    strength_low_percent__lte=F("strength_high_percent"),
                ),
                name="version_strength_in_order",
                violation_error_message=_("Strength: give both, the lower first, or neither."),
            ),
            models.CheckConstraint(
                condition=Q(extraction_percent__isnull=True) | Q(extraction_percent__gt=0, extraction_percent__lte=30),
                name="version_extraction_range",
                violation_error_message=_("Extraction: more than 0 and up to 30 %%."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.title} ({self.revision_label})"

    @property
    def revision_label(self) -> str:
        return (
            str(_("revision %(number)s") % {"number": self.revision})
            if self.revision
            else str(self.get_state_display())
        )

    @property
    def is_frozen(self) -> bool:
        return self.state in FROZEN_STATES

    def save(self, *args: Any, **kwargs: Any) -> None:
        if self.pk is not None:
            stored = type(self)._base_manager.filter(pk=self.pk).first()
            if stored is not None and stored.is_frozen:
                self._refuse_changes(stored)
        super().save(*args, **kwargs)

    def _refuse_changes(self, stored: GuideVersion) -> None:
        changed = [
            str(field.verbose_name)
            for field in self._meta.concrete_fields
            if field.name not in self.CHANGES_WHEN_PUBLISHED
            and getattr(self, field.attname) != getattr(stored, field.attname)
        ]
        if changed or (stored.state == State.WITHDRAWN and self.state != State.WITHDRAWN):
            raise FrozenRow(
                _(
                    "%(version)s is printed on bags and stays as it is (changed: %(fields)s). "
                    "Open the next draft instead."
                )
                % {"version": stored, "fields": ", ".join(changed) or str(_("state"))}
            )

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        if self.is_frozen:
            raise FrozenRow(_("%(version)s is printed on bags and stays; withdraw it instead.") % {"version": self})
        return super().delete(*args, **kwargs)
