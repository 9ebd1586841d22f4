"""What the difference between two trial brews should do."""

from __future__ import annotations

from guides.calculations.constants import RETENTION
from guides.calculations.drawdown import simulate
from guides.calculations.rounding import round_half_up
from guides.calculations.validity import OutOfRange
from guides.models import TrialBrew

from .brewed_plan import NoPlan, brewed_plan, room_c


def foreseen_later_s(one: TrialBrew, other: TrialBrew) -> float | None:
    """Give how many whole seconds later the second should drain, had its coffee flowed as the first's did.

    ``None`` where the first taught no flow factor, or one of them cannot be simulated.
    """
    if one.flow_factor is None:
        return None
    before, after = _drained_s(one, one.flow_factor), _drained_s(other, one.flow_factor)
    return None if before is None or after is None else round_half_up(after - before)


def _drained_s(brew: TrialBrew, flow_factor: float) -> float | None:
    kept = RETENTION.value if brew.retention_g_g is None else brew.retention_g_g
    try:
        return simulate(
            brewed_plan(brew), flow_factor=flow_factor, retention_g_g=kept, room_c=room_c(brew), step_s=0.5
        ).drained_s
    except (OutOfRange, NoPlan):
        return None
