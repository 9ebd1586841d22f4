"""What a reader asks of a published plan, and what they get: data only; ``adapt.py`` fills it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from .assessment import Assessment
from .findings import CHANGES, REASONS, UNMET
from .freshness import GasLevel
from .grind import GrinderTable, Setting
from .plan import Plan
from .vessel import Brewer


class Confidence(StrEnum):
    """How sure a change is."""

    EXACT = "exact"  # arithmetic
    PREDICTED = "predicted"  # the model of the draining bed; as good as its trial brews
    RULE_OF_THUMB = "rule_of_thumb"  # our own default, no source


@dataclass(frozen=True)
class Request:
    """What the reader has and wants; everything not said stays as in the guide.

    At most one size: a dose, a cup, as much as the brewer holds, or what is left in the bag. ``boiling_c`` is what
    water boils at in their kitchen, instead of an altitude. Alkalinity is in mg/L as CaCO3. ``simple`` rounds scale
    targets to 5 g.
    """

    dose_g: float | None = None
    cup_g: float | None = None
    fill_brewer: bool = False
    bag_left_g: float | None = None
    brewer: Brewer | None = None
    grinder: GrinderTable | None = None
    altitude_m: float | None = None
    boiling_c: float | None = None
    gas: GasLevel | None = None
    alkalinity_mg_l: float | None = None
    guide_alkalinity_mg_l: float | None = None
    simple: bool = False


@dataclass(frozen=True)
class Change:
    """One difference from the guide; ``before`` is ``None`` for what the guide does not say.

    ``code`` is a key of ``findings.CHANGES``, ``reason`` of ``findings.REASONS``; ``step`` the index of the step.
    """

    code: str
    before: float | None
    after: float
    unit: str
    reason: str
    confidence: Confidence
    step: int | None = None

    def __post_init__(self) -> None:
        if self.code not in CHANGES or self.reason not in REASONS:
            raise KeyError(f"{self.code} or {self.reason} is not in findings.py")


@dataclass(frozen=True)
class Unmet:
    """One wish that could not be honoured; ``code`` is a key of ``findings.UNMET``."""

    code: str
    numbers: Mapping[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if self.code not in UNMET:
            raise KeyError(f"{self.code} is not in UNMET")


@dataclass(frozen=True)
class Adapted:
    """The plan for the reader, what changed, what could not be done, and what to expect."""

    plan: Plan
    changes: tuple[Change, ...]
    unmet: tuple[Unmet, ...]
    assessment: Assessment
    setting: Setting | None = None
