"""Asks for a run to be made."""

from __future__ import annotations

import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.choices import RunState, State, Verb
from guides.lifecycle import audit
from guides.lifecycle.errors import Refusal, refuse_if
from guides.lifecycle.telling import after_commit
from guides.models import PackingRun, User
from guides.models.packing_run import MOST_COPIES
from guides.signals import packing_run_ordered

from . import moves


def order(run: PackingRun, *, by: User, at: datetime.datetime | None = None) -> PackingRun:
    """Ask for a run to be made.

    Args:
        run: not saved yet; its lot, version, language, format, sheet and copies are filled in.
        by: who asks.
        at: when; now if not given.

    Raises:
        Refused: not allowed, a lot that is recalled, a guide that is not published, or a count out of range.
    """
    refuse_if([*moves.may_refusals(by), *refusals(run)])
    with transaction.atomic():
        write_down(run, by=by, at=at)
        after_commit(packing_run_ordered, PackingRun, run_id=run.pk)
    return run


def write_down(run: PackingRun, *, by: User, at: datetime.datetime | None = None) -> None:
    """Keep a run as ordered, and who ordered it. Call inside a transaction."""
    run.ordered_by, run.ordered_at, run.state = by, at or timezone.now(), RunState.MAKING
    run.save(force_insert=True)
    audit.record(Verb.ORDERED_RUN, by=by, at=at, lot=run.lot, guide=run.version.guide, run=run.pk, copies=run.copies)


def refusals(run: PackingRun) -> list[Refusal]:
    """Why a run is not to be made, as its lot and guide stand now; empty if it is."""
    found = []
    run.lot.refresh_from_db(fields=["recalled_at", "recall_reason"])
    if run.lot.is_recalled:
        text = _("Lot: {lot} is recalled. Nothing is printed for it; destroy what was printed.")
        found.append(Refusal(format_lazy(text, lot=run.lot.name), "lot"))
    if run.version.state != State.PUBLISHED:
        text = _("Guide of {lot}: this revision is {state}. Only a published one is printed.")
        state = run.version.get_state_display()
        found.append(Refusal(format_lazy(text, lot=run.lot.name, state=state), "version"))
    if not 1 <= run.copies <= MOST_COPIES:
        text = _("Copies for {lot}: {copies}; one run prints 1 to {most}.")
        found.append(Refusal(format_lazy(text, lot=run.lot.name, copies=run.copies, most=MOST_COPIES), "copies"))
    return found
