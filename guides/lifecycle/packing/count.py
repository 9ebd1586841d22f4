"""Closes a run: every copy that was printed is spoiled, left over or packed."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from django.db import transaction
from django.utils import timezone
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.lifecycle.errors import Refusal, refuse_if
from guides.models import PackingRun, User

from . import moves, settle
from .transitions import COUNT


@dataclass(frozen=True)
class Counts:
    """Where the copies of a run went. ``printed`` is all that left the printer."""

    printed: int
    spoiled: int
    left_over: int
    packed: int


def count(
    run: PackingRun,
    counts: Counts,
    *,
    by: User,
    leftovers: str = "",
    use_until: datetime.date | None = None,
    at: datetime.datetime | None = None,
) -> PackingRun:
    """Close a run.

    Args:
        run: released.
        counts: where the copies went.
        by: who counted.
        leftovers: what happens to those left over, a value of ``Leftovers``; needed where there are any.
        use_until: the last day on which they may be used.
        at: when; now if not given.

    Raises:
        Refused: not allowed, not released, counts that do not add up, or leftovers whose end is not said.
    """
    with transaction.atomic():
        run = moves.begin(run, COUNT, by=by)
        refuse_if([*refusals(counts), *_leftover_refusals(run, counts, leftovers, use_until)])
        run.printed, run.spoiled, run.left_over, run.packed = (
            counts.printed,
            counts.spoiled,
            counts.left_over,
            counts.packed,
        )
        run.counted_at, run.counted_by = at or timezone.now(), by
        run.leftovers, run.use_until = leftovers, use_until
        run.settled_at = run.counted_at if leftovers else None
        moves.move(run, COUNT, by=by, at=at, **vars(counts))
    return run


def refusals(counts: Counts) -> list[Refusal]:
    """Why counts will not do; empty if they will."""
    found = []
    elsewhere = counts.spoiled + counts.left_over + counts.packed
    if min(vars(counts).values()) < 0:
        found.append(Refusal(_("Counts: none can be below 0."), "printed"))
    elif counts.printed != elsewhere:
        text = _(
            "Printed: {printed}, but spoiled, left over and packed make {elsewhere}. Count again: {missing} to find."
        )
        missing = abs(counts.printed - elsewhere)
        found.append(
            Refusal(format_lazy(text, printed=counts.printed, elsewhere=elsewhere, missing=missing), "printed")
        )
    return found


def _leftover_refusals(
    run: PackingRun, counts: Counts, leftovers: str, use_until: datetime.date | None
) -> list[Refusal]:
    if not (counts.left_over or leftovers or use_until):
        return []
    return settle.refusals(run, leftovers, use_until)
