"""Packing runs, with what their pages and papers need."""

from __future__ import annotations

from django.db.models import QuerySet

from guides.models import PackingRun

from . import versions


def whole() -> QuerySet[PackingRun]:
    """Give runs with their lot, guide and job, in a constant number of queries."""
    return PackingRun.objects.select_related(
        "lot__coffee", "version__guide__coffee", "job", "ordered_by", "counted_by", "reprint_of"
    )


def by_id(pk: int) -> PackingRun:
    """Give one run; its version is whole.

    Raises:
        PackingRun.DoesNotExist: there is none.
    """
    run = whole().get(pk=pk)
    run.version = versions.by_id(run.version_id)
    return run
