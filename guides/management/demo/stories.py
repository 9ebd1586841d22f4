"""What happened at the roastery since: a new crop that drains late, and a lot that is recalled."""

from __future__ import annotations

import datetime
from dataclasses import replace
from decimal import Decimal

from guides.calculations.dialing import drained_s, grind_for_drained
from guides.calculations.drawdown import simulate
from guides.calculations.flow import factor_from_drained_time
from guides.lifecycle import assign, draft, publish, recall, review, snapshot
from guides.lifecycle.plan_of import plan_of
from guides.models import Assignment, Guide, GuideVersion, Lot, User
from guides.queries import versions

from .clock import moment
from .guides import record

# Invented: how fast the new crop lets water through, on the day it was first tried and since.
_FIRST_FACTOR, _NEW_CROP_FACTOR = 0.71, 0.76
_INSIDE_S = 10  # how far inside the window the coarser grind aims


def play(today: datetime.date) -> None:
    """Play the stories, in their order."""
    tove, ilmo = User.objects.get(username="tove"), User.objects.get(username="ilmo")
    _new_crop(today, tove, ilmo)
    recall.recall(
        Lot.objects.get(name="RW-091"),
        by=tove,
        reason="A screw is missing from the cooling tray and may be in a bag.",
        at=moment(today, 1, hour=8),
    )


def _new_crop(today: datetime.date, tove: User, ilmo: User) -> None:
    """OM-084 drains late, is held, and comes back with the coarser grind that the calculations suggest."""
    guide, old, new = Guide.objects.get(number=2), Lot.objects.get(name="OM-071"), Lot.objects.get(name="OM-084")
    first = versions.current(guide)
    assert first is not None  # noqa: S101 - guides.py has just published it
    late_s = round(simulate(plan_of(first), flow_factor=_FIRST_FACTOR).drained_s or 0)
    record(
        first, lot=new, by=ilmo, at=moment(today, 5, hour=11), drained_s=late_s, first_drip_s=10,
        taste="Long drain, drying at the end", liking=4,
    )  # fmt: skip
    held = Assignment.objects.get(lot=new, guide=guide)
    assign.hold(held, by=ilmo, reason="Drains later than the guide's window.")
    suggested_um, back_s = _coarser(first, late_s)
    second = draft.open_next(guide, by=ilmo, at=moment(today, 4, hour=9))
    second.grind_um = suggested_um
    second.change_note = "Ground coarser: the new crop drains slower."
    second.full_clean()
    second.save()
    record(
        second, lot=new, by=ilmo, at=moment(today, 4, hour=11), drained_s=back_s, first_drip_s=10,
        cup_g=229, strength_percent=Decimal("1.45"), sample="before_bypass", taste="Clear again, tea rose", liking=8,
    )  # fmt: skip
    review.submit(second, by=ilmo, at=moment(today, 4, hour=14))
    record(
        second, lot=new, by=tove, at=moment(today, 3, hour=9), drained_s=back_s + 2, first_drip_s=10,
        cup_g=230, taste="As it should be", liking=8, is_check_brew=True,
    )  # fmt: skip
    publish.publish(GuideVersion.objects.get(pk=second.pk), by=tove, at=moment(today, 3, hour=10))
    assign.assign(old, guide, by=ilmo, pinned=first)
    held.refresh_from_db()
    assign.release(held, by=ilmo)


def _coarser(version: GuideVersion, late_s: int) -> tuple[int, int]:
    """Give the grind that brings the new crop back inside the window, and when such a brew then drains."""
    kept = snapshot.read(version)
    window = kept.assessment.drained
    assert window is not None  # noqa: S101 - a cone drains
    plan = plan_of(version)
    conditions = replace(kept.conditions, trial_flow_factors=(factor_from_drained_time(plan, late_s),))
    sooner_s = late_s - (window.high - _INSIDE_S)
    found = grind_for_drained(plan, drained_s(plan, conditions) - sooner_s, conditions)
    suggested_um = round(found.grind_um / 10) * 10
    back = simulate(replace(plan, grind_um=suggested_um), flow_factor=_NEW_CROP_FACTOR)
    return suggested_um, round(back.drained_s or 0)
