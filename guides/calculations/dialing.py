"""Finding the grind that drains in a wanted time, and what a reader's own brews say about their grinder."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from .assessment import USUAL, Conditions
from .brewing import COARSE_S, likely_course
from .constants import GRIND_SHOWN_UM, REGRIND_INSIDE_S
from .plan import Plan
from .rounding import round_half_up
from .validity import OutOfRange, Window, check_range

_CLOSE_S = 0.5
FINEST_UM, COARSEST_UM = 150.0, 2500.0


@dataclass(frozen=True)
class Drained:
    """A grind in um and the time in s its brew takes to drain."""

    grind_um: float
    drained_s: float


def drained_s(plan: Plan, conditions: Conditions = USUAL) -> float:
    """Predict when a brew has drained, as one number: for comparing, never for showing.

    Args:
        plan: the brew.
        conditions: where it is brewed, and with which coffee.

    Returns:
        Clock seconds; infinite if it never drains.

    Raises:
        OutOfRange: as for ``drawdown.simulate``.

    Valid range: as for ``drawdown.simulate``.
    Source: drawdown.simulate.

    >>> from .plan import Action, Step
    >>> from .vessel import Brewer, Cone, Flow
    >>> cone = Brewer(Cone(30, 10), 500, 60, Flow.OPEN)
    >>> 60 < drained_s(Plan(15, 240, 93, 700, cone, (Step(Action.POUR, 0, 60, 240),))) < 300
    True
    """
    found = likely_course(plan, conditions, COARSE_S).drained_s
    return math.inf if found is None else found


def grind_for_drained(
    plan: Plan,
    wanted_s: float,
    conditions: Conditions = USUAL,
    *,
    finest_um: float = FINEST_UM,
    coarsest_um: float = COARSEST_UM,
) -> Drained:
    """Find the grind whose brew drains at a wanted time, everything else as in the plan.

    Args:
        plan: the brew; its grind is where the search starts.
        wanted_s: clock seconds at which it should have drained.
        conditions: where it is brewed, and with which coffee.
        finest_um: finest grind to look at in um.
        coarsest_um: coarsest grind to look at in um.

    Returns:
        The grind, and the time it gives.

    Raises:
        OutOfRange: no grind between the two drains then (a bed cannot drain before its last pour), or as for
            ``drawdown.simulate``.

    Valid range: wanted time 10 to 1800 s.
    Source: drawdown.simulate, searched by false position (Illinois variant).

    >>> from .plan import Action, Step
    >>> from .vessel import Brewer, Cone, Flow
    >>> cone = Brewer(Cone(30, 10), 500, 60, Flow.OPEN)
    >>> plan = Plan(15, 240, 93, 700, cone, (Step(Action.POUR, 0, 60, 240),))
    >>> grind_for_drained(plan, 200).grind_um < grind_for_drained(plan, 150).grind_um
    True
    """
    check_range("wanted_s", wanted_s, low=10, high=1800, reason="a brew people wait for")
    check_range("finest_um", finest_um, low=FINEST_UM, high=coarsest_um, reason="ground coffee")
    check_range("coarsest_um", coarsest_um, low=finest_um, high=COARSEST_UM, reason="ground coffee")

    def late_s(log_um: float) -> float:
        late = drained_s(replace(plan, grind_um=math.exp(log_um)), conditions) - wanted_s
        return min(late, 3600.0)  # never drains: as late as anything

    log_um, late = _falling_root(late_s, plan.grind_um, wanted_s, math.log(finest_um), math.log(coarsest_um))
    return Drained(math.exp(log_um), wanted_s + late)


def _falling_root(
    late_s: Callable[[float], float], start_um: float, wanted_s: float, finest: float, coarsest: float
) -> tuple[float, float]:
    """Step outwards from a grind until the wish is bracketed, then close in."""
    fine = coarse = min(max(math.log(start_um), finest), coarsest)
    late_fine = late_coarse = late_s(fine)
    reach = 0.08
    while abs(late_coarse) > _CLOSE_S and late_coarse > 0:
        if coarse >= coarsest:
            raise OutOfRange("wanted_s", wanted_s, low=wanted_s + late_coarse, high=None, reason="no grind is so fast")
        fine, late_fine = coarse, late_coarse
        coarse = min(coarse + reach, coarsest)
        late_coarse = late_s(coarse)
        reach *= 2
    while abs(late_fine) > _CLOSE_S and late_fine < 0:
        if fine <= finest:
            raise OutOfRange("wanted_s", wanted_s, low=None, high=wanted_s + late_fine, reason="no grind is so slow")
        coarse, late_coarse = fine, late_fine
        fine = max(fine - reach, finest)
        late_fine = late_s(fine)
        reach *= 2
    for at, late in ((fine, late_fine), (coarse, late_coarse)):
        if abs(late) <= _CLOSE_S:
            return at, late
    weight_fine, weight_coarse = late_fine, late_coarse
    while True:
        at = fine + (coarse - fine) * weight_fine / (weight_fine - weight_coarse)
        late = late_s(at)
        if abs(late) <= _CLOSE_S or coarse - fine < 1e-4:
            return at, late
        if late > 0:
            fine, weight_fine, weight_coarse = at, late, weight_coarse / 2
        else:
            coarse, weight_coarse, weight_fine = at, late, weight_fine / 2


@dataclass(frozen=True)
class Regrind:
    """A suggested grind in um, how far it moves the drained time in s (negative: sooner), and where that leads."""

    grind_um: float
    moves_s: float
    drained_s: float


def regrind(plan: Plan, measured_s: float, window: Window, conditions: Conditions = USUAL) -> Regrind:
    """Suggest the grind that brings a brew back into its window: no farther than needed, and safely inside.

    What the simulation misses at one grind it misses at the next, so the measured time is moved and not the predicted
    one.

    Args:
        plan: the brew as it was made.
        measured_s: clock seconds at which it had drained, outside the window.
        window: when it should have.
        conditions: where it is brewed, and with which coffee; learnt from this brew too.

    Returns:
        The suggestion, its grind in whole tens of um.

    Raises:
        OutOfRange: no grind moves it so far, or as for ``drawdown.simulate``.

    Valid range: as for ``grind_for_drained``.
    Source: drawdown.simulate; how far inside is an own default.

    >>> from .plan import Action, Step
    >>> from .vessel import Brewer, Cone, Flow
    >>> cone = Brewer(Cone(30, 10), 500, 60, Flow.OPEN)
    >>> plan = Plan(15, 240, 93, 700, cone, (Step(Action.POUR, 0, 60, 240),))
    >>> window = Window(160, 180, 200)
    >>> regrind(plan, 210, window).grind_um > 700 > regrind(plan, 150, window).grind_um
    True
    """
    wanted_s = window.likely
    if measured_s > window.likely:
        wanted_s = max(window.high - REGRIND_INSIDE_S.value, wanted_s)
    else:
        wanted_s = min(window.low + REGRIND_INSIDE_S.value, wanted_s)
    predicted_s = drained_s(plan, conditions)
    found = grind_for_drained(plan, predicted_s + wanted_s - measured_s, conditions)
    grind_um = round_half_up(found.grind_um, GRIND_SHOWN_UM.value)
    moves_s = drained_s(replace(plan, grind_um=grind_um), conditions) - predicted_s
    return Regrind(grind_um, moves_s, measured_s + moves_s)


@dataclass(frozen=True)
class Logged:
    """A reader's brew: the plan as brewed, at the size their grinder was believed to give, and when it had drained."""

    plan: Plan
    drained_s: float


def grinder_offset_um(brews: Sequence[Logged], conditions: Conditions = USUAL) -> float:
    """Estimate how far a reader's grinder is off, from two or more drained times they logged.

    Each brew is given the grind that would have drained at the logged time; the offset is the mean difference.

    Args:
        brews: what the reader logged.
        conditions: where they brew, and with which coffee.

    Returns:
        Offset in um; positive means the grinder gives coarser grounds than its table says. Add it to the table.

    Raises:
        OutOfRange: fewer than two brews, or a time no grind gives.

    Valid range: 2 brews and up.
    Source: drawdown.simulate; burrs differ in more than size, so this stands for their flow.

    >>> from .plan import Action, Step
    >>> from .vessel import Brewer, Cone, Flow
    >>> cone = Brewer(Cone(30, 10), 500, 60, Flow.OPEN)
    >>> plan = Plan(15, 240, 93, 700, cone, (Step(Action.POUR, 0, 60, 240),))
    >>> brews = [Logged(plan, drained_s(replace(plan, grind_um=750)))] * 2
    >>> abs(grinder_offset_um(brews) - 50) < 5
    True
    """
    check_range("brews", len(brews), low=2, reason="one brew is not enough to tell a grinder from a slip")
    found = [grind_for_drained(brew.plan, brew.drained_s, conditions).grind_um - brew.plan.grind_um for brew in brews]
    return sum(found) / len(found)
