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
    """Where the copies of a run went. ``printed`` is all that left the printer.

    ``bags`` are those that were packed with them, counted for themselves; ``None`` for copies that go into no bag.
    """

    printed: int
    spoiled: int
    left_over: int
    packed: int
    bags: int | None = None

    @property
    def fates(self) -> tuple[int, int, int, int]:
        """The four that must add up."""
        return self.printed, self.spoiled, self.left_over, self.packed


def count(
    run: PackingRun,
    counts: Counts,
    *,
    by: User,
    leftovers: str = "",
    use_until: datetime.date | None = None,
    difference: str = "",
    at: datetime.datetime | None = None,
) -> PackingRun:
    """Close a run.

    Args:
        run: released.
        counts: where the copies went.
        by: who counted.
        leftovers: what happens to those left over, a value of ``Leftovers``; needed where there are any.
        use_until: the last day on which they may be used.
        difference: why not every bag holds one copy; needed where bags and packed copies differ.
        at: when; now if not given.

    Raises:
        Refused: not allowed, not released, counts that do not add up, leftovers whose end is not said, or
            bags that differ without a reason.
    """
    with transaction.atomic():
        run = moves.begin(run, COUNT, by=by)
        difference = difference.strip()
        refuse_if(
            [
                *refusals(counts),
                *_bag_refusals(counts, difference),
                *_leftover_refusals(run, counts, leftovers, use_until),
            ]
        )
        run.printed, run.spoiled, run.left_over, run.packed = counts.fates
        run.bags, run.difference = counts.bags, difference
        run.counted_at, run.counted_by = at or timezone.now(), by
        run.leftovers, run.use_until = leftovers, use_until
        run.settled_at = run.counted_at if leftovers else None
        moves.move(run, COUNT, by=by, at=at, **vars(counts), difference=difference)
    return run


def refusals(counts: Counts) -> list[Refusal]:
    """Why counts will not do; empty if they will."""
    found = []
    elsewhere = counts.spoiled + counts.left_over + counts.packed
    if min(*counts.fates, counts.bags or 0) < 0:
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


def _bag_refusals(counts: Counts, difference: str) -> list[Refusal]:
    bags, packed = counts.bags, counts.packed
    if bags is None and difference:
        return [Refusal(_("Why not one in each bag: count the bags too, or leave this empty."), "bags")]
    if bags is None or bags == packed or difference:
        return []
    if packed < bags:
        text = _("Bags: {missing} of {bags} have none. Find out which, or say why.")
        said = format_lazy(text, missing=bags - packed, bags=bags)
    else:
        text = _("Bags: {packed} copies were packed into {bags} bags. Look for bags with two, or say why.")
        said = format_lazy(text, packed=packed, bags=bags)
    return [Refusal(said, "difference")]


def _leftover_refusals(
    run: PackingRun, counts: Counts, leftovers: str, use_until: datetime.date | None
) -> list[Refusal]:
    if not (counts.left_over or leftovers or use_until):
        return []
    return settle.refusals(run, leftovers, use_until)
