"""A brew as data: what is weighed, what is poured when, and how.

Scale targets are cumulative readings with the scale zeroed on the dry, ground coffee (or, over ice, with the ice
already in the server). Times of a step count from its anchor.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from .vessel import Brewer


class Action(StrEnum):
    """What the hands do in a step."""

    POUR = "pour"
    OPEN = "open"
    SHUT = "shut"
    STIR = "stir"
    SWIRL = "swirl"
    LID = "lid"
    BREAK_CRUST = "break_crust"
    DECANT = "decant"
    ADD_BYPASS = "add_bypass"


class Anchor(StrEnum):
    """The moment a step's times count from."""

    START = "start"
    PREVIOUS = "previous"
    OPENED = "opened"
    FIRST_DRIP = "first_drip"
    DRAINED = "drained"


class Height(StrEnum):
    """How high above the water the kettle is held."""

    LOW = "low"
    MEDIUM = "medium"
    HIGH = "high"


class Path(StrEnum):
    """Where the stream goes, seen from above."""

    CENTRE = "centre"
    SPIRAL_OUT = "spiral_out"
    SPIRAL_IN = "spiral_in"
    RIM = "rim"


@dataclass(frozen=True)
class Step:
    """One act.

    ``start_s`` and ``end_s`` are seconds after the anchor (``end_s`` >= ``start_s``; equal for an instant act).
    ``target_g`` is the scale reading when a pour or an added bypass ends, ``None`` for every other action.
    ``turns`` counts turns of the spoon or swirls. The speed of a pour is never stored: it follows from the
    grams and the seconds.
    """

    action: Action
    start_s: float
    end_s: float
    target_g: float | None = None
    anchor: Anchor = Anchor.START
    height: Height | None = None
    path: Path | None = None
    turns: int | None = None


@dataclass(frozen=True)
class Plan:
    """A whole brew.

    ``dose_g`` dry coffee; ``water_g`` poured through the coffee (W); ``bypass_g`` water added to the cup afterwards
    (``bypass_to_taste``: up to that much); ``ice_g`` ice in the server; ``kettle_c`` what the kettle reads at the
    start; ``grind_um`` median particle size; ``steps`` in order. ``valve_shut_at_start`` is meaningful on a valve
    brewer only.
    """

    dose_g: float
    water_g: float
    kettle_c: float
    grind_um: float
    brewer: Brewer
    steps: tuple[Step, ...]
    bypass_g: float = 0.0
    bypass_to_taste: bool = False
    ice_g: float = 0.0
    valve_shut_at_start: bool = False
