"""What each trial brew teaches: how fast the coffee lets water through, and how much the grounds keep.

A lesson takes dozens of simulated brews, so it is kept with its brew; saving the brew forgets it (``TrialBrew.save``),
and so does a new edition of the formulas.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from django.db import transaction

from guides.calculations.constants import CALCULATION_VERSION, RETENTION
from guides.calculations.flow import factor_from_drained_time
from guides.calculations.retention import measured_retention, retention_window
from guides.calculations.validity import OutOfRange
from guides.choices import Outflow
from guides.models import TrialBrew
from guides.queries import evidence

from .brewed_plan import NoPlan, brewed_plan, room_c


def learnt(brews: Sequence[TrialBrew]) -> Sequence[TrialBrew]:
    """Give brews with what each taught, working out and keeping whatever is not kept yet."""
    stale = {brew.pk: brew for brew in brews if brew.learnt_with != CALCULATION_VERSION}
    if not stale:
        return brews
    with transaction.atomic():  # nobody saves other numbers between the reading and the keeping
        whole = list(evidence.whole(TrialBrew.objects.filter(pk__in=stale)).select_for_update(of=("self",)))
        for brew in whole:
            _learn(brew)
            for name in ("flow_factor", "retention_g_g", "learnt_with"):
                setattr(stale[brew.pk], name, getattr(brew, name))
        TrialBrew.objects.bulk_update(whole, ["flow_factor", "retention_g_g", "learnt_with"])
    return brews


def flow_factors(brews: Iterable[TrialBrew]) -> tuple[float, ...]:
    """Give the flow factor of every brew that taught one."""
    return tuple(brew.flow_factor for brew in brews if brew.flow_factor is not None)


def retentions(brews: Iterable[TrialBrew]) -> tuple[float, ...]:
    """Give the liquid kept, in g per g of dose, by the grounds of every brew whose cup was weighed."""
    return tuple(brew.retention_g_g for brew in brews if brew.retention_g_g is not None)


def by_lot(brews: Iterable[TrialBrew]) -> dict[int, list[TrialBrew]]:
    """Give brews by the key of their lot, lots and brews in the order they come."""
    lots: dict[int, list[TrialBrew]] = {}
    for brew in brews:
        lots.setdefault(brew.lot_id, []).append(brew)
    return lots


def retention(brew: TrialBrew) -> float | None:
    """Give what one brew's grounds kept; nothing if its cup was not weighed or cannot be right."""
    if brew.cup_g is None:
        return None
    ice_g = brew.version.ice_g if brew.version else 0
    try:
        kept = measured_retention(float(brew.dose_g), float(brew.water_g), float(brew.cup_g - brew.bypass_g - ice_g))
        retention_window([kept])
    except OutOfRange:
        return None
    return kept


def _learn(brew: TrialBrew) -> None:
    brew.retention_g_g = retention(brew)
    brew.flow_factor = _flow_factor(brew)
    brew.learnt_with = CALCULATION_VERSION


def _flow_factor(brew: TrialBrew) -> float | None:
    """A time that no coffee explains (a slip of the pen, a valve left shut) teaches nothing."""
    if not brew.drained_s or brew.brewer.outflow == Outflow.CLOSED:
        return None
    kept = RETENTION.value if brew.retention_g_g is None else brew.retention_g_g
    try:
        return factor_from_drained_time(
            brewed_plan(brew), float(brew.drained_s), retention_g_g=kept, room_c=room_c(brew)
        )
    except (OutOfRange, NoPlan):
        return None
