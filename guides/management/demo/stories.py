"""What happened at the roastery since: a new crop that drains late, and a lot that is recalled."""

from __future__ import annotations

import datetime
from decimal import Decimal

from guides.calculations.drawdown import simulate
from guides.choices import Outlet
from guides.lifecycle import assign, new_lot, publish, recall, review
from guides.lifecycle.dispatch import dispatch
from guides.lifecycle.plan_of import plan_of
from guides.models import Assignment, Guide, GuideVersion, Lot, Roast, User
from guides.queries import versions

from .clock import moment
from .guides import record

# Invented: how fast the new crop lets water through, on the day it was first tried and since.
_FIRST_FACTOR, _NEW_CROP_FACTOR = 0.71, 0.76
# Where the recalled lot's bags were: kind of place, bags, its name, days ago.
_OUT = (
    (Outlet.RETAINED, 1, "", 10),
    (Outlet.SHELF, 12, "", 9),
    (Outlet.WEB, 14, "", 8),
    (Outlet.CAFE, 5, "Ferry Steps café", 7),
    (Outlet.WEB, 8, "", 4),
)


def play(today: datetime.date) -> None:
    """Play the stories, in their order."""
    tove, ilmo, ragna = (User.objects.get(username=name) for name in ("tove", "ilmo", "ragna"))
    _new_crop(today, tove, ilmo)
    _screw(today, tove, ragna)


def _new_crop(today: datetime.date, tove: User, ilmo: User) -> None:
    """OM-084 drains late, is held, and comes back with the coarser grind that the calculations suggest."""
    guide, old, new = Guide.objects.get(number=2), Lot.objects.get(name="OM-071"), Lot.objects.get(name="OM-084")
    first = versions.current(guide)
    assert first is not None  # noqa: S101 - guides.py has just published it
    late = record(
        first, lot=new, by=ilmo, at=moment(today, 5, hour=11), drained_s=_drained_s(first, _FIRST_FACTOR),
        first_drip_s=10, taste="Long drain, drying at the end", found="right", balance="bitter_dry", liking=4,
    )  # fmt: skip
    second = new_lot.hold_and_adjust(late, by=ilmo, at=moment(today, 4, hour=9))
    back_s = _drained_s(second, _NEW_CROP_FACTOR)
    record(
        second, lot=new, by=ilmo, at=moment(today, 4, hour=11), drained_s=back_s, first_drip_s=10, repeats=late,
        cup_g=229, strength_percent=Decimal("1.45"), sample="before_bypass", taste="Clear again, tea rose",
        found="right", balance="balanced", liking=8,
    )  # fmt: skip
    review.submit(second, by=ilmo, at=moment(today, 4, hour=14))
    record(
        second, lot=new, by=tove, at=moment(today, 3, hour=9), drained_s=back_s + 2, first_drip_s=10,
        cup_g=230, taste="As it should be", liking=8, is_check_brew=True,
    )  # fmt: skip
    publish.publish(GuideVersion.objects.get(pk=second.pk), by=tove, at=moment(today, 3, hour=10))
    assign.assign(old, guide, by=ilmo, pinned=first)
    assign.release(Assignment.objects.get(lot=new, guide=guide), by=ilmo)


def _screw(today: datetime.date, tove: User, ragna: User) -> None:
    """All forty bags of RW-091 are out when a screw is missed: its roast is recalled, and with it the lot."""
    lot = Lot.objects.get(name="RW-091")
    for outlet, bags, place, days in _OUT:
        dispatch(lot, outlet, bags, by=ragna, place=place, at=moment(today, days, hour=15))
    recall.recall_all(
        Roast.objects.get(parts__lot=lot),
        by=tove,
        reason="A screw is missing from the cooling tray and may be in a bag.",
        at=moment(today, 1, hour=8),
    )


def _drained_s(version: GuideVersion, flow_factor: float) -> int:
    return round(simulate(plan_of(version), flow_factor=flow_factor).drained_s or 0)
