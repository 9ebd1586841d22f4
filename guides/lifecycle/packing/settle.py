"""Says anew what happens to copies left over: another day until which they may be used, or destroyed now."""

from __future__ import annotations

import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.choices import Leftovers, Verb
from guides.lifecycle import audit, roles
from guides.lifecycle.errors import Refusal, refuse_if
from guides.models import PackingRun, User

from . import moves


def settle(run: PackingRun, leftovers: str, *, by: User, use_until: datetime.date | None = None) -> PackingRun:
    """Say what happens to the copies that a counted run left over.

    Args:
        run: counted, with copies left that were not destroyed.
        leftovers: a value of ``Leftovers``.
        by: who says so.
        use_until: the last day on which they may be used; only where they are.

    Raises:
        Refused: not allowed, nothing is left over, no day or one that is over, or copies of a recalled lot that are
            not destroyed.
    """
    with transaction.atomic():
        run = moves.locked(run)
        found = roles.refusals(by, moves.PERMISSIONS, _("say what happens to left over copies"))
        if not has_leftovers(run):
            found.append(Refusal(_("State: no copies of this run are left over."), "state"))
        refuse_if([*found, *refusals(run, leftovers, use_until)])
        run.leftovers, run.use_until, run.settled_at = leftovers, use_until, timezone.now()
        run.save(update_fields=["leftovers", "use_until", "settled_at"])
        audit.record(
            Verb.SETTLED_COPIES,
            by=by,
            lot=run.lot,
            guide=run.version.guide,
            run=run.pk,
            left_over=run.left_over,
            leftovers=leftovers,
            use_until=use_until and use_until.isoformat(),
        )
    return run


def has_leftovers(run: PackingRun) -> bool:
    """Say whether copies of a run lie somewhere, counted and not destroyed."""
    return bool(run.left_over) and run.leftovers == Leftovers.USE


def refusals(run: PackingRun, leftovers: str, use_until: datetime.date | None) -> list[Refusal]:
    """Why an end of left over copies will not do; empty if it will."""
    found = []
    if not leftovers:
        found.append(Refusal(_("Left over copies: say whether they are used until a day or destroyed."), "leftovers"))
    if (leftovers == Leftovers.USE) != (use_until is not None):
        found.append(Refusal(_("Use until: name a day for copies that are used up, and only for those."), "use_until"))
    if use_until is not None and use_until < timezone.localdate():
        found.append(Refusal(_("Use until: that day is over. Name a later one, or destroy them."), "use_until"))
    if leftovers == Leftovers.USE and run.lot.is_recalled:
        text = _("Left over copies: {lot} is recalled; destroy them.")
        found.append(Refusal(format_lazy(text, lot=run.lot.name), "leftovers"))
    return found
