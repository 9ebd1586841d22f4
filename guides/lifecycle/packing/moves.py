"""The halves of every move of a run: take hold of it, look again, refuse; then change its state and write it down."""

from __future__ import annotations

import datetime
from typing import Any, Final

from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.lifecycle import audit, roles
from guides.lifecycle.errors import Refusal, refuse_if
from guides.models import PackingRun, User
from guides.queries import packing_runs

from .transitions import Transition, fits

PERMISSIONS: Final = ("guides.print_lot",)


def may_refusals(by: User) -> list[Refusal]:
    """Why somebody may not pack; empty if they may."""
    return roles.refusals(by, PERMISSIONS, _("print inserts"))


def locked(run: PackingRun) -> PackingRun:
    """Lock a run and give it as it stands now. Call inside a transaction."""
    return (
        PackingRun.objects.select_for_update(of=("self",))
        .select_related("lot", "version__guide", "job", "ordered_by")
        .get(pk=run.pk)
    )


def locked_file(run: PackingRun) -> list[PackingRun]:
    """Lock the runs that share a run's file, and give them in the order packed. Call inside a transaction."""
    return list(packing_runs.with_file_of(run).select_for_update(of=("self",)))


def begin(run: PackingRun, transition: Transition, *, by: User) -> PackingRun:
    """Lock a run and give it as it stands now. Call inside a transaction.

    Raises:
        Refused: the person may not, or the run stands where the move makes no sense.
    """
    run = locked(run)
    refuse_if([*may_refusals(by), *_state_refusals(run, transition)])
    return run


def begin_file(run: PackingRun, transition: Transition, *, by: User) -> list[PackingRun]:
    """Lock the runs that share a run's file and give them as they stand now. Call inside a transaction.

    Raises:
        Refused: the person may not, or a run stands where the move makes no sense.
    """
    runs = locked_file(run)
    refuse_if([*may_refusals(by), *(each for run in runs for each in _state_refusals(run, transition))][:1])
    return runs


def _state_refusals(run: PackingRun, transition: Transition) -> list[Refusal]:
    if fits(run, transition):
        return []
    text = _("State: this run is {state}; it cannot become {target} from there.")
    return [Refusal(format_lazy(text, state=run.get_state_display(), target=transition.target.label), "state")]


def move(
    run: PackingRun, transition: Transition, *, by: User, at: datetime.datetime | None = None, **details: Any
) -> None:
    """Change the state of a run that was taken hold of, and write the act down."""
    run.state = transition.target
    run.save()
    audit.record(
        transition.verb,
        by=by,
        at=at,
        lot=run.lot,
        guide=run.version.guide,
        reason=run.refused_because[:300],
        run=run.pk,
        **details,
    )
