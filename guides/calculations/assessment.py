"""What an assessment assumes and what it answers: data only; ``assess.py`` fills it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from .freshness import GasLevel
from .timeline import StepTime
from .validity import Caution, Severity, Window


@dataclass(frozen=True)
class Conditions:
    """What a prediction assumes.

    ``trial_flow_factors`` holds one number per trial brew of this lot, ``other_lots_flow_factors`` a list of them for
    each other lot of the coffee, ``trial_retentions`` (g/g) one per trial brew of any lot.
    """

    altitude_m: float = 0.0
    room_c: float = 20.0
    gas: GasLevel = GasLevel.LIVELY
    trial_flow_factors: tuple[float, ...] = ()
    trial_retentions: tuple[float, ...] = ()
    other_lots_flow_factors: tuple[tuple[float, ...], ...] = ()


@dataclass(frozen=True)
class Targets:
    """What the guide promises the cup to be. Strength is of the finished cup, after bypass and melted ice."""

    strength_low: float | None = None
    strength_high: float | None = None
    extraction: float | None = None
    first_drip_s: float | None = None


USUAL: Final = Conditions()
NO_TARGETS: Final = Targets()


@dataclass(frozen=True)
class CoursePoint:
    """The brew at one second: for the drawings."""

    time_s: float
    poured_g: float
    drained_g: float
    free_g: float
    level_mm: float
    flow_g_s: float
    slurry_c: float
    kettle_c: float


@dataclass(frozen=True)
class BypassPoint:
    """Strength of the cup after so much water has been added."""

    added_g: float
    strength: Window


@dataclass(frozen=True)
class Assessment:
    """Everything the calculation room says about a plan.

    ``brew_ratio`` is W/D, ``cup_ratio`` (W + Y + ice)/D. ``shut_limit_g`` is the most water above the shut valve,
    rounded down to 10 g, ``shut_charge_g`` the most the plan has there; ``None`` without a valve. ``first_drip`` and
    ``drained`` are clock seconds, ``None`` for full immersion. ``cup_g`` is the beverage with bypass and melted ice.
    ``extraction`` is what the promised strength asks for, ``strength`` what the promised extraction gives.
    Temperatures are of the slurry at its hottest and of boiling water where the brew is made. ``rinse_g`` is not
    counted in the water; the kettle holds water, bypass, rinse and what stays behind. Contact seconds are those of the
    first 30 g and of the whole cup. The peak level counts from the outlet.
    """

    brew_ratio: float
    cup_ratio: float
    shut_limit_g: float | None
    shut_charge_g: float | None
    first_drip: Window | None
    drained: Window | None
    cup_g: Window
    extraction: Window | None
    strength: Window | None
    bypass: tuple[BypassPoint, ...]
    slurry_peak_c: float
    boiling_c: float
    kettle_fill_g: float
    server_ml: float
    rinse_g: float
    first_contact_s: float | None
    cup_contact_s: float | None
    peak_level_mm: float
    peak_at_s: float
    overflow_at_s: float | None
    step_times: tuple[StepTime, ...]
    course: tuple[CoursePoint, ...]
    cautions: tuple[Caution, ...]

    @property
    def ends_s(self) -> float:
        """When the brew is done, in clock seconds: its last step, or likely drained if that is later."""
        last_s = max((time.end_s for time in self.step_times), default=0.0)
        return max(last_s, self.drained.likely) if self.drained else last_s

    @property
    def refusals(self) -> tuple[Caution, ...]:
        """The findings that stop publishing."""
        return tuple(finding for finding in self.cautions if finding.severity is Severity.REFUSAL)
