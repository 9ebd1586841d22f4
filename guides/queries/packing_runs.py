"""Packing runs, with what their pages and papers need."""

from __future__ import annotations

import datetime

from django.db.models import F, OuterRef, Q, QuerySet, Subquery

from guides.choices import Leftovers, RunState, State
from guides.models import GuideVersion, Lot, PackingRun

from . import versions


def whole() -> QuerySet[PackingRun]:
    """Give runs with their lot, guide and job, in a constant number of queries."""
    return PackingRun.objects.select_related(
        "lot__coffee", "version__guide__coffee", "job", "ordered_by", "counted_by", "reprint_of"
    )


def left_over(lot: Lot | None = None) -> QuerySet[PackingRun]:
    """Give counted runs of which copies lie somewhere, to be used until a day; of one lot, or of all."""
    runs = whole().filter(state=RunState.COUNTED, left_over__gt=0, leftovers=Leftovers.USE)
    return runs.filter(lot=lot) if lot else runs


def to_settle(today: datetime.date) -> QuerySet[PackingRun]:
    """Give runs whose left over copies need another word: their day is over, their lot was recalled, or their guide
    withdrawn or followed by a newer revision since it was last said what happens to them. Oldest first.

    Each has ``newer``: the revision that took the place of theirs, if there is one.
    """
    newer = GuideVersion.objects.filter(
        guide=OuterRef("version__guide"),
        state=State.PUBLISHED,
        revision__gt=OuterRef("version__revision"),
        published_at__gt=OuterRef("settled_at"),
    ).order_by("-revision")
    runs = left_over().annotate(newer=Subquery(newer.values("revision")[:1]))
    wanted = Q(use_until__lt=today) | Q(lot__recalled_at__isnull=False) | Q(newer__isnull=False)
    return runs.filter(wanted | Q(version__withdrawn_at__gt=F("settled_at"))).order_by("counted_at")


def by_id(pk: int) -> PackingRun:
    """Give one run; its version is whole.

    Raises:
        PackingRun.DoesNotExist: there is none.
    """
    run = whole().get(pk=pk)
    run.version = versions.by_id(run.version_id)
    return run
