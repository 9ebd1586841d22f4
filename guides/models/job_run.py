"""A piece of background work: what it is, who holds it, how far it is."""

from __future__ import annotations

import uuid

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from guides.choices import JobState

from .base import Mutability, Record


class JobRun(Record):
    """The queue only starts work. This row holds the lease, the heartbeat, progress, cancelling and attempts."""

    mutability = Mutability.MUTABLE
    on_pages = False

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    kind = models.CharField(_("work"), max_length=40)
    arguments = models.JSONField(_("arguments"), default=dict)
    state = models.CharField(_("state"), max_length=10, choices=JobState, default=JobState.WAITING)
    created_at = models.DateTimeField(_("created at"), auto_now_add=True)
    lease_until = models.DateTimeField(_("held until"), null=True, blank=True)
    lease_token = models.UUIDField(null=True, blank=True)
    heartbeat_at = models.DateTimeField(_("last sign of life"), null=True, blank=True)
    finished_at = models.DateTimeField(_("finished at"), null=True, blank=True)
    attempts = models.PositiveSmallIntegerField(_("attempts"), default=0)
    done = models.PositiveIntegerField(_("done"), default=0)
    total = models.PositiveIntegerField(_("of"), default=0)
    cancel_wanted = models.BooleanField(_("cancel"), default=False)
    result = models.JSONField(_("result"), null=True, blank=True)
    error = models.TextField(_("error"), blank=True)

    class Meta:
        verbose_name = _("job")
        verbose_name_plural = _("jobs")
        ordering = ["-created_at"]
        indexes = [models.Index(fields=["state", "lease_until"], name="job_state_lease")]
        constraints = [
            models.CheckConstraint(
                condition=Q(done__lte=F("total")) | Q(total=0),
                name="job_done_within_total",
                violation_error_message=_("Done: no more than there is."),
            ),
            models.CheckConstraint(
                condition=Q(state=JobState.RUNNING, lease_until__isnull=False, lease_token__isnull=False)
                | ~Q(state=JobState.RUNNING) & Q(lease_until__isnull=True, lease_token__isnull=True),
                name="job_lease_while_running",
                violation_error_message=_("Lease: held exactly while the job runs."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} ({self.get_state_display()})"
