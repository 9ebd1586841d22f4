"""Packing runs: ordered, made in the background, released or refused, printed, and counted until every copy is known.

What may be printed at all is settled when the file is made (``documents.printable``); here stand the rules of a run's
own life.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Final

from django.db import transaction
from django.db.models import Max
from django.utils import timezone
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.choices import JobState, Leftovers, RunState, State, Verb
from guides.models import JobRun, PackingRun, User
from guides.models.packing_run import MOST_COPIES
from guides.signals import packing_run_ordered

from . import audit, roles
from .errors import Refusal, refuse_if
from .telling import after_commit

PERMISSIONS: Final = ["guides.print_lot"]
_PRINT: Final = _("print inserts")
# What may follow what; everything else is refused.
_MOVES: Final = {
    RunState.MAKING: {RunState.READY, RunState.REFUSED, RunState.CANCELLED},
    RunState.REFUSED: {RunState.MAKING},
    RunState.CANCELLED: {RunState.MAKING},
    RunState.READY: {RunState.COUNTED},
    RunState.COUNTED: set(),
}


_ENDED: Final = (JobState.FAILED, JobState.CANCELLED)


@dataclass(frozen=True)
class Counts:
    """Where the copies of a run went. ``printed`` is all that left the printer."""

    printed: int
    spoiled: int
    left_over: int
    packed: int


def order(run: PackingRun, *, by: User, at: datetime.datetime | None = None) -> PackingRun:
    """Ask for a run to be made.

    Args:
        run: not saved yet; its lot, version, language, format, sheet and copies are filled in.
        by: who asks.
        at: when; now if not given.

    Raises:
        Refused: not allowed, a lot that is recalled, a guide that is not published, or a count out of range.
    """
    refuse_if([*roles.refusals(by, PERMISSIONS, _PRINT), *_order_refusals(run)])
    with transaction.atomic():
        run.ordered_by, run.ordered_at, run.state = by, at or timezone.now(), RunState.MAKING
        run.save(force_insert=True)
        audit.record(
            Verb.ORDERED_RUN, by=by, at=at, lot=run.lot, guide=run.version.guide, run=run.pk, copies=run.copies
        )
        after_commit(packing_run_ordered, PackingRun, run_id=run.pk)
    return run


def reprint(run: PackingRun, copies: int, *, by: User) -> PackingRun:
    """Order further copies of a run for those that were spoiled: same lot, revision, language and format.

    Raises:
        Refused: not allowed, a run that was never released, or as for ``order``.
    """
    first = run.reprint_of or run
    released = first.state in (RunState.READY, RunState.COUNTED)
    refuse_if(() if released else [Refusal(_("State: only a run that was released can be printed again."), "state")])
    with transaction.atomic():
        PackingRun.objects.select_for_update().get(pk=first.pk)
        last = PackingRun.objects.filter(reprint_of=first).aggregate(last=Max("reprint"))["last"] or 0
        again = PackingRun(
            lot=first.lot,
            version=first.version,
            language=first.language,
            paper=first.paper,
            sheet=first.sheet,
            flip=first.flip,
            copies=copies,
            reprint_of=first,
            reprint=last + 1,
        )
        return order(again, by=by)


def make_again(run: PackingRun, *, by: User) -> PackingRun:
    """Try a run once more: refused or cancelled, or one whose work has failed or got lost.

    Raises:
        Refused: not allowed, it stands elsewhere, or as for ``order``.
    """
    with transaction.atomic():
        run = _begin(run, RunState.MAKING, by=by)
        refuse_if(_order_refusals(run))
        run.refused_because, run.job = "", None
        _move(run, RunState.MAKING, Verb.ORDERED_RUN, by=by)
        after_commit(packing_run_ordered, PackingRun, run_id=run.pk)
    return run


def cancel(run: PackingRun, *, by: User) -> PackingRun:
    """Stop a run while it is being made.

    Raises:
        Refused: not allowed, or it is made already.
    """
    with transaction.atomic():
        run = _begin(run, RunState.CANCELLED, by=by)
        _move(run, RunState.CANCELLED, Verb.CANCELLED_RUN, by=by)
        if run.job_id:
            JobRun.objects.filter(pk=run.job_id).update(cancel_wanted=True)
    return run


def release(run: PackingRun, file: str) -> bool:
    """Hand a finished file over; says no where the run was cancelled or the lot recalled in the meantime."""
    with transaction.atomic():
        run = _locked(run)
        if run.state != RunState.MAKING:
            return False
        if _order_refusals(run):
            _refuse(run, _order_refusals(run))
            return False
        run.file = file
        _move(run, RunState.READY, Verb.RELEASED_RUN, by=run.ordered_by)
    return True


def refuse(run: PackingRun, reasons: Iterable[object]) -> None:
    """Keep why a run was not released."""
    with transaction.atomic():
        run = _locked(run)
        if run.state == RunState.MAKING:
            _refuse(run, reasons)


def count(
    run: PackingRun,
    counts: Counts,
    *,
    by: User,
    leftovers: str = "",
    use_until: datetime.date | None = None,
    at: datetime.datetime | None = None,
) -> PackingRun:
    """Close a run: every copy that was printed is spoiled, left over or packed.

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
        run = _begin(run, RunState.COUNTED, by=by)
        refuse_if(_count_refusals(counts, leftovers, use_until))
        run.printed, run.spoiled, run.left_over, run.packed = (
            counts.printed,
            counts.spoiled,
            counts.left_over,
            counts.packed,
        )
        run.leftovers, run.use_until = leftovers, use_until
        run.counted_at, run.counted_by = at or timezone.now(), by
        _move(run, RunState.COUNTED, Verb.COUNTED_RUN, by=by, at=at, **vars(counts))
    return run


def _order_refusals(run: PackingRun) -> list[Refusal]:
    found = []
    run.lot.refresh_from_db(fields=["recalled_at", "recall_reason"])
    if run.lot.is_recalled:
        text = _("Lot: {lot} is recalled. Nothing is printed for it; destroy what was printed.")
        found.append(Refusal(format_lazy(text, lot=run.lot.name), "lot"))
    if run.version.state != State.PUBLISHED:
        text = _("Guide: this revision is {state}. Only a published one is printed.")
        found.append(Refusal(format_lazy(text, state=run.version.get_state_display()), "version"))
    if not 1 <= run.copies <= MOST_COPIES:
        text = _("Copies: {copies}; one run prints 1 to {most}.")
        found.append(Refusal(format_lazy(text, copies=run.copies, most=MOST_COPIES), "copies"))
    return found


def _count_refusals(counts: Counts, leftovers: str, use_until: datetime.date | None) -> list[Refusal]:
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
    if counts.left_over and not leftovers:
        found.append(Refusal(_("Left over copies: say whether they are used until a day or destroyed."), "leftovers"))
    if (leftovers == Leftovers.USE) != (use_until is not None):
        found.append(Refusal(_("Use until: name a day for copies that are used up, and only for those."), "use_until"))
    return found


def _locked(run: PackingRun) -> PackingRun:
    return (
        PackingRun.objects.select_for_update(of=("self",))
        .select_related("lot", "version__guide", "job", "ordered_by")
        .get(pk=run.pk)
    )


def _begin(run: PackingRun, target: RunState, *, by: User) -> PackingRun:
    """Take hold of a run, look again, refuse."""
    run = _locked(run)
    refusals = roles.refusals(by, PERMISSIONS, _PRINT)
    stuck = target == RunState.MAKING == run.state and (run.job is None or run.job.state in _ENDED)
    if target not in _MOVES[RunState(run.state)] and not stuck:
        text = _("State: this run is {state}; it cannot become {target} from there.")
        refusals.append(Refusal(format_lazy(text, state=run.get_state_display(), target=target.label), "state"))
    refuse_if(refusals)
    return run


def _refuse(run: PackingRun, reasons: Iterable[object]) -> None:
    run.refused_because = "\n".join(str(reason) for reason in reasons)
    _move(run, RunState.REFUSED, Verb.REFUSED_RUN, by=run.ordered_by)


def _move(
    run: PackingRun,
    target: RunState,
    verb: Verb,
    *,
    by: User,
    at: datetime.datetime | None = None,
    **details: Any,
) -> None:
    run.state = target
    run.save()
    audit.record(
        verb,
        by=by,
        at=at,
        lot=run.lot,
        guide=run.version.guide,
        reason=run.refused_because[:300],
        run=run.pk,
        **details,
    )
