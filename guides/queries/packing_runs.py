"""Packing runs, with what their pages and papers need."""

from __future__ import annotations

import datetime
from typing import Final

from django.db.models import Exists, F, OuterRef, Q, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from guides.choices import Follow, Leftovers, RunState, State
from guides.models import Address, Assignment, GuideVersion, Lot, PackingRun

from . import versions

_OFFERED: Final = 12


def whole() -> QuerySet[PackingRun]:
    """Give runs with their lot, guide and job, in a constant number of queries."""
    return PackingRun.objects.select_related(
        "lot__coffee", "version__guide__coffee", "job", "ordered_by", "counted_by", "reprint_of"
    )


def left_over(lot: Lot | None = None) -> QuerySet[PackingRun]:
    """Give counted runs of which copies lie somewhere, to be used until a day; of one lot, or of all."""
    runs = whole().filter(state=RunState.COUNTED, left_over__gt=0, leftovers=Leftovers.USE)
    return runs.filter(lot=lot) if lot else runs


def uncounted(lot: Lot) -> QuerySet[PackingRun]:
    """Give a lot's runs that are on their way to the bags: being made, or released and not counted."""
    return whole().filter(lot=lot, state__in=[RunState.MAKING, RunState.READY])


def to_settle(today: datetime.date) -> QuerySet[PackingRun]:
    """Give runs of which copies lie somewhere and need another word. Oldest first.

    Counted ones do where their day is over, or where, since it was last said what happens to them, their lot was
    recalled, or their guide withdrawn or followed by a newer revision. Released ones that nobody counted do as soon as
    that has happened: what is left of them is not even known.

    Each has ``newer``: the revision that took the place of theirs, if there is one.
    """
    newer = GuideVersion.objects.filter(
        guide=OuterRef("version__guide"),
        state=State.PUBLISHED,
        revision__gt=OuterRef("version__revision"),
        published_at__gt=OuterRef("said_at"),
    ).order_by("-revision")
    lying = Q(state=RunState.COUNTED, left_over__gt=0, leftovers=Leftovers.USE) | Q(state=RunState.READY)
    runs = whole().filter(lying).annotate(said_at=Coalesce("settled_at", "ordered_at"))
    runs = runs.annotate(newer=Subquery(newer.values("revision")[:1]))
    wanted = Q(use_until__lt=today) | Q(lot__recalled_at__isnull=False) | Q(newer__isnull=False)
    return runs.filter(wanted | Q(version__withdrawn_at__gt=F("said_at"))).order_by("counted_at", "ordered_at")


def bags_so_far(run: PackingRun) -> int:
    """Give the bags of a run's lot that were counted with copies of its guide in its language and format."""
    same = PackingRun.objects.filter(
        lot=run.lot_id, version__guide=run.version.guide_id, language=run.language, paper=run.paper
    )
    return same.aggregate(bags=Sum("bags"))["bags"] or 0


def with_file_of(run: PackingRun) -> QuerySet[PackingRun]:
    """Give the runs that share a run's file, in the order packed; the run itself where it is printed alone."""
    shared = Q(together=run.together) if run.together else Q(pk=run.pk)
    return whole().filter(shared).order_by("pk")


def lots_to_pack() -> QuerySet[Lot]:
    """Give the newest lots for which nothing was ordered yet, of those with a code and a guide that is shown."""
    shown = Assignment.objects.filter(lot=OuterRef("pk"), guide__versions__state=State.PUBLISHED)
    fresh = Lot.objects.filter(Exists(shown.exclude(follow=Follow.HELD)), recalled_at=None, packing_runs=None)
    coded = fresh.filter(Exists(Address.objects.filter(lot=OuterRef("pk"))))
    return coded.select_related("coffee").order_by("-roasted_on", "-pk")[:_OFFERED]


def to_print(pk: int) -> list[PackingRun]:
    """Give the runs that are made together with one, in the order packed; their versions are whole.

    Raises:
        PackingRun.DoesNotExist: there is none.
    """
    runs = list(with_file_of(PackingRun.objects.get(pk=pk)))
    found = {version_id: versions.by_id(version_id) for version_id in {run.version_id for run in runs}}
    for run in runs:
        run.version = found[run.version_id]
    return runs
