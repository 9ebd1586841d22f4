"""Background work that was given up."""

from __future__ import annotations

from django.db.models import QuerySet

from guides.choices import JobState
from guides.models import JobRun


def runs() -> QuerySet[JobRun]:
    """Give runs that failed for good, latest first."""
    return JobRun.objects.filter(state=JobState.FAILED).order_by("-finished_at", "-created_at")
