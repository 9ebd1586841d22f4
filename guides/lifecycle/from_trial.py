"""From a chosen trial brew to a draft: what was weighed, read, ground and opened becomes the plan, nothing retyped."""

from __future__ import annotations

import datetime
from dataclasses import replace
from decimal import Decimal

from django.db import transaction
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.calculations import plan as plans
from guides.calculations.openings import with_opening
from guides.calculations.scaling import rounded
from guides.calculations.validity import OutOfRange
from guides.choices import Action, State, Verb
from guides.models import Guide, GuideVersion, Step, TrialBrew, User
from guides.queries import versions

from . import audit, draft, refusal_words, roles, writers
from .brewed_plan import weighed_plan
from .errors import Refusal, Refused, refuse_if

_PERMISSIONS = ["guides.add_guideversion"]


def open_from_trial(
    brew: TrialBrew, *, by: User, guide: Guide | None = None, at: datetime.datetime | None = None
) -> GuideVersion:
    """Open the next draft with a trial brew's numbers, or bring the open draft that was brewed to them.

    Words and the order of steps are those of the plan that was followed; of the guide's newest version where none was.

    Args:
        brew: the brew.
        by: who will go on writing.
        guide: which guide it is for, where the brew followed no plan.
        at: when; now if not given.

    Raises:
        Refused: not allowed, no plan to put the numbers into, another draft is open, or numbers that no plan has.
    """
    with transaction.atomic():
        brew = TrialBrew.objects.select_related("brewer__vessel").get(pk=brew.pk)
        refuse_if(roles.refusals(by, _PERMISSIONS, _("write guides")))
        source = _source(brew, guide)
        if source is None:
            text = _("Guide: there is no plan to put these numbers into. Choose a guide that has a version.")
            raise Refused(Refusal(text, field="guide"))
        Guide.objects.select_for_update().get(pk=source.guide_id)
        plan = _plan(brew, source)
        if source.state == State.DRAFT:
            version = versions.by_id(source.pk)
            version.edit_number += 1
            audit.record(Verb.OPENED_DRAFT, by=by, at=at, version=version, trial=brew.pk)
        else:
            version = draft.open_next(source.guide, by=by, at=at, based_on=source, trial=brew.pk)
        _put(plan, brew, version, by)
    return versions.by_id(version.pk)


def _source(brew: TrialBrew, guide: Guide | None) -> GuideVersion | None:
    if brew.version_id is not None:
        return versions.by_id(brew.version_id)
    if guide is None:
        return None
    return versions.open_draft(guide) or versions.current(guide) or versions.history_whole(guide).first()


def _plan(brew: TrialBrew, source: GuideVersion) -> plans.Plan:
    try:
        plan = replace(weighed_plan(brew, source), bypass_g=float(brew.bypass_g))
        if brew.opened_s is not None and plan.valve_shut_at_start:
            plan = with_opening(plan, float(brew.opened_s))
        return rounded(plan)
    except OutOfRange as error:
        text = _("These numbers make no plan. {why} Correct the brew, or open the next draft and write them there.")
        raise Refused(Refusal(format_lazy(text, why=refusal_words.out_of_range(error).message))) from error


def _put(plan: plans.Plan, brew: TrialBrew, version: GuideVersion, by: User) -> None:
    version.brewer, version.dose_g, version.water_g, version.bypass_g = (
        brew.brewer, brew.dose_g, brew.water_g, brew.bypass_g,
    )  # fmt: skip
    version.kettle_c, version.grind_um, version.ice_g = brew.kettle_c, brew.grind_um, Decimal(str(plan.ice_g))
    version.bypass_to_taste = version.bypass_to_taste and brew.bypass_g > 0
    version.save()
    writers.record_edit(version, by=by)
    rows = list(Step.objects.filter(version=version))
    last_pour = max((index for index, row in enumerate(rows) if row.action == Action.POUR), default=None)
    for index, (row, step) in enumerate(zip(rows, plan.steps, strict=True)):
        if row.action == Action.ADD_BYPASS and not brew.bypass_g:
            row.delete()
            continue
        row.anchor = step.anchor.value
        row.start_s, row.end_s = round(step.start_s), round(step.end_s)
        if index == last_pour:  # what was really poured, to the gram or finer
            row.target_g = brew.water_g
        elif row.action == Action.ADD_BYPASS:
            row.target_g = brew.water_g + brew.bypass_g
        elif step.target_g is not None:
            row.target_g = Decimal(str(step.target_g))
        row.save()
    _close_up(version)


def _close_up(version: GuideVersion) -> None:
    for place, row in enumerate(Step.objects.filter(version=version), start=1):
        if row.position != place:
            row.position = place
            row.save()
