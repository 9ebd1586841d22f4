"""Asks for the runs of several lots to be made in one file."""

from __future__ import annotations

import uuid
from collections import Counter
from collections.abc import Sequence

from django.db import transaction
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.lifecycle.errors import Refusal, refuse_if
from guides.lifecycle.telling import after_commit
from guides.models import PackingRun, User
from guides.models.packing_run import MOST_COPIES, MOST_LOTS
from guides.signals import packing_run_ordered

from . import moves, order


def order_together(runs: Sequence[PackingRun], *, by: User) -> list[PackingRun]:
    """Ask for runs to be made in one file, each lot under its own slip. A single one is ordered by itself.

    Args:
        runs: not saved yet, each filled in as for ``order``, in the order packed; the same format and sheet for all.
        by: who asks.

    Raises:
        Refused: not allowed, no lot or too many, a lot named twice, formats that differ, more copies than one file
            holds, or as for ``order``.
    """
    if len(runs) == 1:
        return [order.order(runs[0], by=by)]
    found = [*_refusals(runs), *(refusal for run in runs for refusal in order.refusals(run))]
    refuse_if([*moves.may_refusals(by), *found])
    with transaction.atomic():
        together = uuid.uuid4()
        for run in runs:
            run.together = together
            order.write_down(run, by=by)
        after_commit(packing_run_ordered, PackingRun, run_id=runs[0].pk)
    return list(runs)


def _refusals(runs: Sequence[PackingRun]) -> list[Refusal]:
    found = []
    if not 1 <= len(runs) <= MOST_LOTS:
        text = _("Lots: {count}; one file holds 1 to {most}.")
        found.append(Refusal(format_lazy(text, count=len(runs), most=MOST_LOTS), "lot"))
    for name, times in Counter(run.lot.name for run in runs).items():
        if times > 1:
            found.append(Refusal(format_lazy(_("Lot: {lot} is named twice. Take one out."), lot=name), "lot"))
    if len({(run.paper, run.sheet, run.flip) for run in runs}) > 1:
        found.append(Refusal(_("Format: lots in one file are printed in one format, on one kind of sheet."), "paper"))
    copies = sum(run.copies for run in runs)
    if copies > MOST_COPIES:
        text = _("Copies: {copies} together; one file holds {most}. Take some lots out and order those afterwards.")
        found.append(Refusal(format_lazy(text, copies=copies, most=MOST_COPIES), "copies"))
    return found
