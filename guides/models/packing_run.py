"""One printing of inserts for a lot: what was ordered, what came out, and where every copy went."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.choices import Flip, Leftovers, RunState

from .base import Mutability, Record
from .guide_version import GuideVersion
from .job_run import JobRun
from .lot import Lot

MOST_COPIES = 5000
MOST_LOTS = 100
"""In one file."""


def _by(verbose: Any, **options: Any) -> models.ForeignKey:
    return models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False, verbose_name=verbose, **options
    )


def _count(verbose: Any) -> models.PositiveIntegerField:
    return models.PositiveIntegerField(verbose, null=True, blank=True, editable=False)


class PackingRun(Record):
    """``paper`` and ``sheet`` are keys of the documents room; an empty sheet means paper of the format's own size.

    A reprint belongs to the run whose copies were spoiled: same lot, revision, language and format, with a mark of its
    own on the paper.

    Runs of several lots that were ordered together share ``together``, the job and the file; the order of their keys is
    that of the file. They are made, released, refused and stopped as one; from then on each goes its own way.
    """

    mutability = Mutability.MUTABLE
    on_pages = False

    lot = models.ForeignKey(Lot, models.PROTECT, related_name="packing_runs", verbose_name=_("lot"))
    version = models.ForeignKey(GuideVersion, models.PROTECT, related_name="packing_runs", verbose_name=_("guide"))
    language = models.CharField(_("language"), max_length=8, choices=settings.LANGUAGES)
    paper = models.CharField(_("format"), max_length=30)
    sheet = models.CharField(_("sheet"), max_length=30, blank=True)
    flip = models.CharField(_("turned over along"), max_length=5, choices=Flip, default=Flip.LONG)
    skip = models.PositiveSmallIntegerField(_("places used up"), default=0)
    copies = models.PositiveIntegerField(_("copies"))
    reprint_of = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="reprints", verbose_name=_("reprint of")
    )
    reprint = models.PositiveSmallIntegerField(_("reprint"), default=0)

    together = models.UUIDField(_("printed together"), null=True, blank=True, editable=False, db_index=True)

    state = models.CharField(_("state"), max_length=10, choices=RunState, default=RunState.MAKING)
    job = models.ForeignKey(JobRun, models.SET_NULL, null=True, blank=True, related_name="+", verbose_name=_("job"))
    file = models.CharField(_("file"), max_length=200, blank=True)
    refused_because = models.TextField(_("why refused"), blank=True)
    ordered_at = models.DateTimeField(_("ordered at"), default=timezone.now, editable=False)
    ordered_by = _by(_("ordered by"))

    printed = _count(_("printed"))
    spoiled = _count(_("spoiled"))
    left_over = _count(_("left over"))
    packed = _count(_("packed"))
    bags = _count(_("bags packed"))
    difference = models.CharField(_("why not one in each bag"), max_length=300, blank=True, editable=False)
    leftovers = models.CharField(_("left over copies"), max_length=10, choices=Leftovers, blank=True)
    use_until = models.DateField(_("use until"), null=True, blank=True)
    settled_at = models.DateTimeField(_("left over copies settled at"), null=True, blank=True, editable=False)
    counted_at = models.DateTimeField(_("counted at"), null=True, blank=True, editable=False)
    counted_by = _by(_("counted by"), null=True, blank=True)

    class Meta:
        verbose_name = _("packing run")
        verbose_name_plural = _("packing runs")
        ordering = ["-ordered_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(copies__gte=1, copies__lte=MOST_COPIES),
                name="run_copies_range",
                violation_error_message=_("Copies: 1 to 5000 in one run."),
            ),
            models.CheckConstraint(
                condition=Q(reprint=0, reprint_of__isnull=True) | Q(reprint__gte=1, reprint_of__isnull=False),
                name="run_reprint_has_number",
                violation_error_message=_("Reprint: its number and the run it belongs to stand together."),
            ),
            models.UniqueConstraint(
                fields=["reprint_of", "reprint"],
                name="run_reprint_number_once",
                violation_error_message=_("Reprint: this run has that number already."),
            ),
            models.UniqueConstraint(
                fields=["together", "lot"],
                name="run_lot_once_together",
                violation_error_message=_("Lot: each lot lies in one file once."),
            ),
            models.CheckConstraint(
                condition=Q(together__isnull=True) | Q(reprint_of__isnull=True),
                name="run_reprint_alone",
                violation_error_message=_("Reprint: it is printed by itself, with no other lot."),
            ),
            models.CheckConstraint(
                condition=Q(state__in=[RunState.READY, RunState.COUNTED]) & ~Q(file="")
                | ~Q(state__in=[RunState.READY, RunState.COUNTED]),
                name="run_released_with_file",
                violation_error_message=_("File: only a finished file is released."),
            ),
            models.CheckConstraint(
                condition=Q(state=RunState.REFUSED) & ~Q(refused_because="")
                | ~Q(state=RunState.REFUSED) & Q(refused_because=""),
                name="run_refused_with_reason",
                violation_error_message=_("Why refused: stands with a refused run, and only there."),
            ),
            models.CheckConstraint(
                condition=Q(
                    state=RunState.COUNTED,
                    counted_at__isnull=False,
                    counted_by__isnull=False,
                    printed__isnull=False,
                    spoiled__isnull=False,
                    left_over__isnull=False,
                    packed__isnull=False,
                )
                | ~Q(state=RunState.COUNTED)
                & Q(
                    counted_at__isnull=True,
                    counted_by__isnull=True,
                    printed__isnull=True,
                    spoiled__isnull=True,
                    left_over__isnull=True,
                    packed__isnull=True,
                ),
                name="run_counted_whole",
                violation_error_message=_("Counted: all four counts, who and when stand together."),
            ),
            models.CheckConstraint(
                condition=Q(printed__isnull=True) | Q(printed=F("spoiled") + F("left_over") + F("packed")),
                name="run_counts_add_up",
                violation_error_message=_("Printed: as many as spoiled, left over and packed together."),
            ),
            models.CheckConstraint(
                condition=Q(bags__isnull=True, difference="")
                | Q(bags__isnull=False, state=RunState.COUNTED) & (Q(bags=F("packed")) | ~Q(difference="")),
                name="run_difference_with_reason",
                violation_error_message=_("Why not one in each bag: say so where bags and packed copies differ."),
            ),
            models.CheckConstraint(
                condition=Q(leftovers=Leftovers.USE, use_until__isnull=False)
                | ~Q(leftovers=Leftovers.USE) & Q(use_until__isnull=True),
                name="run_leftovers_use_until",
                violation_error_message=_("Use until: a day for copies that are used up, and only for those."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.lot} · {self.copies} × {self.version.title}{f', {self.mark}' if self.mark else ''}"

    @property
    def mark(self) -> str:
        """What stands on the paper of a reprint."""
        return f"R{self.reprint}" if self.reprint else ""
