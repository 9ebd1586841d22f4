"""A new lot's first brew of a published guide: inside the window it inherits the guide.

Outside, the guide is held and adjusted for the lot, or kept as it is for a stated reason.
"""

from __future__ import annotations

import datetime
from dataclasses import dataclass, replace

from django.db import transaction
from django.utils.text import format_lazy
from django.utils.translation import gettext, override
from django.utils.translation import gettext_lazy as _

from guides.calculations.dialing import Regrind, regrind
from guides.calculations.validity import OutOfRange, Window
from guides.choices import FROZEN_STATES, Follow, Verb
from guides.models import Assignment, GuideVersion, TrialBrew, User
from guides.queries import misfits, versions

from . import assign, audit, draft, reasons, roles, snapshot, writers
from .assessing import conditions_of
from .brewed_plan import brewed_plan, room_c
from .errors import Refusal, Refused, refuse_if


@dataclass(frozen=True)
class Verdict:
    """How a lot's brew of a published guide drained beside the window it was published with, in clock seconds.

    ``version`` is the one that was brewed, ``newest`` the guide's newest. ``assignment`` is ``None`` while the guide is
    not the lot's.
    """

    version: GuideVersion
    window: Window
    measured_s: int
    assignment: Assignment | None
    newest: GuideVersion | None

    @property
    def is_newest(self) -> bool:
        """Whether the revision that was brewed is the guide's newest."""
        return self.newest is not None and self.newest.pk == self.version.pk

    @property
    def inside(self) -> bool:
        """Whether the guide holds for this lot."""
        return self.measured_s in self.window

    @property
    def late_s(self) -> float:
        """Seconds after the window's end, negative before its beginning; 0 inside."""
        if self.inside:
            return 0.0
        return self.measured_s - (self.window.high if self.measured_s > self.window.high else self.window.low)

    @property
    def is_held(self) -> bool:
        """Whether the guide is held for this lot."""
        return self.assignment is not None and self.assignment.follow == Follow.HELD

    @property
    def is_shown(self) -> bool:
        """Whether the guide is on this lot's page."""
        return self.assignment is not None and not self.is_held


def verdict(brew: TrialBrew) -> Verdict | None:
    """Judge a brew made from a published guide as it is written; ``None`` for any other brew."""
    version = brew.version
    if version is None or version.state not in FROZEN_STATES or not brew.drained_s:
        return None
    if any(getattr(brew, name) != getattr(version, name) for name in misfits.AS_WRITTEN):
        return None
    window = snapshot.read(version).assessment.drained
    if window is None:
        return None
    assignment = Assignment.objects.filter(lot=brew.lot_id, guide=version.guide_id).first()
    return Verdict(version, window, brew.drained_s, assignment, versions.current(version.guide))


def suggestion(brew: TrialBrew, found: Verdict) -> Regrind | None:
    """Suggest the grind that would have drained inside the window; ``None`` where no grind does.

    A suggestion: nobody has brewed with it.
    """
    known = conditions_of(brew.lot.coffee_id, brew.brewer_id, brew.lot)
    try:
        plan = brewed_plan(brew)
        return regrind(plan, found.measured_s, found.window, replace(known, room_c=room_c(brew)))
    except OutOfRange:
        return None


def inherit(brew: TrialBrew, *, by: User) -> Assignment:
    """Give a lot the guide that its brew drained in time with.

    Raises:
        Refused: not allowed, no such brew, or it drained outside the window.
    """
    found = _judged(brew)
    if not found.inside:
        raise Refused(Refusal(_("It drained outside the guide's window. Hold the guide for this lot, or brew again.")))
    return assign.assign(brew.lot, found.version.guide, by=by)


def hold_and_adjust(brew: TrialBrew, *, by: User, at: datetime.datetime | None = None) -> GuideVersion:
    """Hold a guide for a lot that drained outside its window, and open a draft at the suggested grind.

    A draft that is open already is left as it is: somebody is at work on it.

    Args:
        brew: the brew.
        by: who decides.
        at: when; now if not given.

    Returns:
        The draft to go on with.

    Raises:
        Refused: not allowed, no such brew, or it drained inside the window.
    """
    found = _judged(brew)
    if found.inside:
        raise Refused(Refusal(_("It drained inside the guide's window: let the lot inherit the guide.")))
    suggested = suggestion(brew, found)
    guide = found.version.guide
    with transaction.atomic():
        assignment = found.assignment or assign.assign(brew.lot, guide, by=by)
        with override(found.version.language):
            reason, note = _reason(found), _change_note(brew, found)
        if not found.is_held:
            assign.hold(assignment, by=by, reason=reason)
        waiting = versions.open_draft(guide)
        if waiting is not None:
            return waiting
        opened = draft.open_next(guide, by=by, at=at, based_on=found.version, trial=brew.pk)
        if suggested is not None:
            opened.grind_um = round(suggested.grind_um)
        opened.change_note = note
        opened.save()
        writers.record_edit(opened, by=by)
    return opened


def keep(brew: TrialBrew, *, by: User, reason: str) -> Assignment:
    """Show a guide for a lot although it drained outside the window.

    Args:
        brew: the brew that missed it.
        by: who decides.
        reason: why the guide serves all the same; up to 300 characters.

    Raises:
        Refused: not allowed, no reason, no such brew, or it drained inside the window.
    """
    refuse_if(
        [
            *roles.refusals(by, ["guides.change_assignment"], _("choose the guides of a lot")),
            *reasons.refusals(reason, "reason", 300),
        ]
    )
    found = _judged(brew)
    if found.inside:
        raise Refused(Refusal(_("It drained inside the guide's window: let the lot inherit the guide.")))
    with transaction.atomic():
        assignment = found.assignment if found.is_shown else None
        assignment = assignment or assign.assign(brew.lot, found.version.guide, by=by)
        audit.record(Verb.KEPT_GUIDE, by=by, version=found.version, lot=brew.lot, reason=reason.strip(), trial=brew.pk)
    return assignment


def _judged(brew: TrialBrew) -> Verdict:
    found = verdict(brew)
    if found is None:
        text = _("Brew the published guide with this lot as it is written, and note when it drained.")
        raise Refused(Refusal(text))
    if not found.is_newest:
        said = _("{version} is not the guide's newest revision any more. Brew the newest one with this lot.")
        refuse_if([Refusal(format_lazy(said, version=found.version))])
    return found


def _reason(found: Verdict) -> str:
    if found.late_s > 0:
        return gettext("Drains later than the guide's window.")
    return gettext("Drains sooner than the guide's window.")


def _change_note(brew: TrialBrew, found: Verdict) -> str:
    if found.late_s > 0:
        return gettext("Ground coarser: lot %(lot)s drains slower.") % {"lot": brew.lot.name}
    return gettext("Ground finer: lot %(lot)s drains faster.") % {"lot": brew.lot.name}
