"""The halves of every move of a run: take hold of it, look again, refuse; then change its state and write it down."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from typing import Any, Final

from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.lifecycle import audit, roles
from guides.lifecycle.errors import Refusal, refuse_if
from guides.models import PackingRun, User

from .transitions import REFUSE, Transition, fits

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


def begin(run: PackingRun, transition: Transition, *, by: User) -> PackingRun:
    """Lock a run and give it as it stands now. Call inside a transaction.

    Raises:
        Refused: the person may not, or the run stands where the move makes no sense.
    """
    run = locked(run)
    refusals = may_refusals(by)
    if not fits(run, transition):
        text = _("State: this run is {state}; it cannot become {target} from there.")
        refusals.append(
            Refusal(format_lazy(text, state=run.get_state_display(), target=transition.target.label), "state")
        )
    refuse_if(refusals)
    return run


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


def refuse_run(run: PackingRun, reasons: Iterable[object]) -> None:
    """Keep on a run that was taken hold of why it was not released."""
    run.refused_because = "\n".join(str(reason) for reason in reasons)
    move(run, REFUSE, by=run.ordered_by)
