"""What the guide promises the cup to be, and what that asks of the brew.

Promised strength is of the finished cup, after bypass and melted ice; extraction is of the dose.
"""

from __future__ import annotations

from .assessment import BypassPoint, Targets
from .constants import (
    CHART_EXTRACTION_HIGH,
    CHART_EXTRACTION_LOW,
    LEFT_IN_JAR_G,
    PLATEAU_LEAST_RATIO,
    PLATEAU_TIME_S,
    USUAL_EXTRACTION_HIGH,
    USUAL_EXTRACTION_LOW,
    Z_90,
)
from .findings import caution, note, refusal
from .immersion import plateau_strength
from .mass_balance import MOST_EXTRACTION, immersion_extraction, immersion_strength
from .plan import Action, Plan
from .scaling import brew_ratio, cup_mass_g
from .timeline import StepTime
from .validity import Caution, Window, check_range
from .vessel import Flow

BYPASS_STEP_G = 10.0
"""Strength is shown per this much water added."""
_AGREE = 0.005  # half a point of extraction: what two careful measurements differ by


def check_targets(targets: Targets) -> None:
    """Refuse promises no cup can keep.

    Args:
        targets: what the guide promises.

    Raises:
        OutOfRange: strength outside 0.001 to 0.2, extraction outside 0.05 to 0.35, a first drip outside 0 to 3600 s,
            or a range that ends below its beginning.

    Valid range: as above.
    Source: own default.

    >>> check_targets(Targets(0.0125, 0.0135))
    """
    low, high = _strengths(targets) or (None, None)
    if low is not None and high is not None:
        check_range("strength_low", low, low=0.001, high=0.2, reason="a fraction by mass: 1.35 % is 0.0135")
        check_range("strength_high", high, low=low, high=0.2, reason="a range ends no lower than it begins")
    if targets.extraction is not None:
        check_range("extraction", targets.extraction, low=0.05, high=MOST_EXTRACTION, reason="a fraction of the dose")
    if targets.first_drip_s is not None:
        check_range("first_drip_s", targets.first_drip_s, low=0, high=3600, reason="clock seconds of one brew")


def cup_window_g(plan: Plan, retention: Window) -> Window:
    """Predict the mass of the finished cup, bypass and melted ice included.

    Args:
        plan: the brew.
        retention: liquid the grounds keep, in g/g.

    Returns:
        Cup in g.

    Raises:
        OutOfRange: as for ``scaling.cup_mass_g``.

    Valid range: as for ``scaling.cup_mass_g``.
    Source: definition; what stays in a decanted jar is an own default.

    >>> from .vessel import Brewer, Cone
    >>> plan = Plan(15, 250, 93, 700, Brewer(Cone(30, 10), 500, 60, Flow.OPEN), ())
    >>> cup_window_g(plan, Window(2.0, 2.1, 2.2)).likely
    218.5
    """

    def cup(kept: float, left: float) -> float:
        return max(cup_mass_g(plan.dose_g, plan.water_g, plan.bypass_g, plan.ice_g, kept) - left, 0.0)

    left, spread = (LEFT_IN_JAR_G.value, Z_90 * LEFT_IN_JAR_G.uncertainty) if _jar(plan) else (0.0, 0.0)
    return Window(
        cup(retention.high, left + spread),
        cup(retention.likely, left),
        cup(retention.low, left - spread),
        retention.trials,
    )


def extraction_asked(plan: Plan, targets: Targets, cup_g: Window) -> Window | None:
    """Give the extraction the promised strength asks for.

    Args:
        plan: the brew.
        targets: what the guide promises.
        cup_g: mass of the finished cup.

    Returns:
        Extraction as a fraction, or ``None`` where no strength is promised or no liquid runs off.

    Source: mass balance; percolation for what drains, immersion for what is decanted.

    >>> from .vessel import Brewer, Cone
    >>> plan = Plan(15, 180, 92, 740, Brewer(Cone(30, 10), 240, 35, Flow.VALVE), (), bypass_g=60)
    >>> window = extraction_asked(plan, Targets(0.0144, 0.0144), Window(208.5, 208.5, 208.5))
    >>> round(window.likely, 4)
    0.2002
    """
    promised = _strengths(targets)
    if promised is None or _undiluted_g(plan, cup_g.low) <= 0:
        return None
    low, high = promised
    ends = [_extraction(plan, strength, mass) for strength in promised for mass in (cup_g.low, cup_g.high)]
    return Window(min(ends), _extraction(plan, (low + high) / 2, cup_g.likely), max(ends), cup_g.trials)


def strength_given(plan: Plan, targets: Targets, cup_g: Window) -> Window | None:
    """Give the strength of the finished cup at the promised extraction.

    Args:
        plan: the brew.
        targets: what the guide promises.
        cup_g: mass of the finished cup.

    Returns:
        Strength as a fraction, or ``None`` where no extraction is promised or no liquid runs off.

    Source: mass balance; percolation for what drains, immersion for what is decanted.

    >>> from .vessel import Brewer, Cone
    >>> plan = Plan(16, 264, 97, 660, Brewer(Cone(30, 10), 500, 60, Flow.OPEN), ())
    >>> round(strength_given(plan, Targets(extraction=0.21), Window(230.4, 230.4, 230.4)).likely, 4)
    0.0146
    """
    if targets.extraction is None or _undiluted_g(plan, cup_g.low) <= 0:
        return None
    extraction = targets.extraction
    ends = [_strength(plan, extraction, mass) for mass in (cup_g.low, cup_g.high)]
    return Window(min(ends), _strength(plan, extraction, cup_g.likely), max(ends), cup_g.trials)


def bypass_points(plan: Plan, extraction: Window, cup_g: Window) -> tuple[BypassPoint, ...]:
    """Give the strength of the cup per 10 g of water added, up to the plan's bypass.

    Args:
        plan: the brew.
        extraction: of the dose, as a fraction.
        cup_g: mass of the finished cup, all bypass included.

    Returns:
        One point per 10 g from 0, and one at the whole bypass; none without bypass, or for more than dissolves.

    Source: mass balance.

    >>> from .vessel import Brewer, Cone
    >>> plan = Plan(15, 180, 92, 740, Brewer(Cone(30, 10), 240, 35, Flow.VALVE), (), bypass_g=60)
    >>> points = bypass_points(plan, Window(0.2, 0.2, 0.2), Window(208.5, 208.5, 208.5))
    >>> [(point.added_g, round(point.strength.likely, 4)) for point in points][::6]
    [(0.0, 0.0202), (60.0, 0.0144)]
    """
    if plan.bypass_g <= 0 or _undiluted_g(plan, cup_g.low) <= 0 or extraction.high > MOST_EXTRACTION:
        return ()
    added = [step * BYPASS_STEP_G for step in range(int(plan.bypass_g / BYPASS_STEP_G) + 1)]
    if added[-1] < plan.bypass_g:
        added.append(plan.bypass_g)

    def after(added_g: float, share: float) -> float:
        missing_g = plan.bypass_g - added_g
        return _strength(plan, share, cup_g.likely) * cup_g.likely / (cup_g.likely - missing_g)

    return tuple(
        BypassPoint(
            mass,
            Window(
                after(mass, extraction.low),
                after(mass, extraction.likely),
                after(mass, extraction.high),
                extraction.trials,
            ),
        )
        for mass in added
    )


def usual_extraction(trials: int = 0) -> Window:
    """Give the extraction taken for a guide that promises nothing.

    Args:
        trials: trial brews the cup's mass rests on.

    Returns:
        Extraction as a fraction.

    Source: scaa-golden-cup-2015.

    >>> usual_extraction()
    Window(low=0.18, likely=0.2, high=0.22, trials=0)
    """
    low, high = USUAL_EXTRACTION_LOW.value, USUAL_EXTRACTION_HIGH.value
    return Window(low, (low + high) / 2, high, trials)


def usual_strength(plan: Plan, cup_g: Window) -> Window | None:
    """Give the strength of the finished cup at the usual extraction: what such a plan can be expected to give.

    Args:
        plan: the brew.
        cup_g: mass of the finished cup.

    Returns:
        Strength as a fraction, or ``None`` where no liquid runs off.

    Source: mass balance; scaa-golden-cup-2015 (extraction).

    >>> from .vessel import Brewer, Cone
    >>> plan = Plan(16, 264, 97, 660, Brewer(Cone(30, 10), 500, 60, Flow.OPEN), ())
    >>> round(usual_strength(plan, Window(230.4, 230.4, 230.4)).likely, 4)
    0.0139
    """
    if _undiluted_g(plan, cup_g.low) <= 0:
        return None
    usual = usual_extraction(cup_g.trials)
    ends = [_strength(plan, share, mass) for share in (usual.low, usual.high) for mass in (cup_g.low, cup_g.high)]
    return Window(min(ends), _strength(plan, usual.likely, cup_g.likely), max(ends), cup_g.trials)


def promise_findings(
    plan: Plan,
    times: tuple[StepTime, ...],
    targets: Targets,
    cup_g: Window,
    extraction: Window | None,
    first_drip: Window | None,
) -> tuple[Caution, ...]:
    """Find promises that cannot be kept together, or by this method.

    Args:
        plan: the brew.
        times: clock seconds of its steps.
        targets: what the guide promises.
        cup_g: mass of the finished cup.
        extraction: what the promised strength asks for.
        first_drip: predicted, in clock seconds.

    Returns:
        Refusals, cautions and notes.

    Source: liang-2021 (plateau); sca-chart-2019 (axes).

    >>> from .vessel import Brewer, Cone
    >>> plan = Plan(15, 180, 92, 740, Brewer(Cone(30, 10), 240, 35, Flow.VALVE), ())
    >>> [f.code for f in promise_findings(plan, (), Targets(), Window(1, 1, 1), None, None)]
    []
    """
    found: list[Caution] = []
    if extraction is not None:
        low, high = CHART_EXTRACTION_LOW.value, CHART_EXTRACTION_HIGH.value
        if not low <= extraction.likely <= high:
            found.append(caution("outside_usual_extraction", low=extraction.low, high=extraction.high))
        wanted = targets.extraction
        if wanted is not None and not extraction.low - _AGREE <= wanted <= extraction.high + _AGREE:
            found.append(caution("targets_disagree", extraction=wanted, low=extraction.low, high=extraction.high))
        if plan.brewer.flow is Flow.VALVE:
            found.append(note("last_drops_not_measured"))
    found += _plateau(plan, times, targets, cup_g)
    wanted_s = targets.first_drip_s
    if wanted_s is not None and first_drip is not None and wanted_s not in first_drip:
        found.append(caution("first_drip_off", target_s=wanted_s, low_s=first_drip.low, high_s=first_drip.high))
    return tuple(found)


def _plateau(plan: Plan, times: tuple[StepTime, ...], targets: Targets, cup_g: Window) -> list[Caution]:
    ratio = brew_ratio(plan.dose_g, plan.water_g)
    if not _all_steeped(plan, times) or ratio < PLATEAU_LEAST_RATIO.value or _undiluted_g(plan, cup_g.low) <= 0:
        return []
    found: list[Caution] = []
    plateau = plateau_strength(ratio)
    diluted = plateau * _undiluted_g(plan, cup_g.likely) / cup_g.likely
    promised = _strengths(targets)
    asked = promised[0] if promised is not None else None
    if asked is None and targets.extraction is not None:
        asked = _strength(plan, targets.extraction, cup_g.likely)
    if asked is not None and asked > diluted:
        found.append(refusal("target_above_plateau", target=asked, plateau=diluted))
    steep_s = max((time.start_s for time in times), default=0.0)
    if _jar(plan) and steep_s < PLATEAU_TIME_S.value:
        found.append(note("not_yet_plateau", plateau=diluted, steep_s=steep_s, plateau_s=PLATEAU_TIME_S.value))
    return found


def _all_steeped(plan: Plan, times: tuple[StepTime, ...]) -> bool:
    """Whether all the water was in before anything could run off."""
    if _jar(plan):
        return True
    if plan.brewer.flow is not Flow.VALVE or not plan.valve_shut_at_start:
        return False
    paired = list(zip(plan.steps, times, strict=False))
    opened = min((time.start_s for step, time in paired if step.action is Action.OPEN), default=0.0)
    return all(time.end_s <= opened for step, time in paired if step.action is Action.POUR)


def _jar(plan: Plan) -> bool:
    return plan.brewer.flow is Flow.CLOSED


def _strengths(targets: Targets) -> tuple[float, float] | None:
    low, high = targets.strength_low, targets.strength_high
    if low is None and high is None:
        return None
    return (low if low is not None else high or 0.0), (high if high is not None else low or 0.0)


def _undiluted_g(plan: Plan, cup_g: float) -> float:
    return cup_g - plan.bypass_g - plan.ice_g


def _extraction(plan: Plan, strength: float, cup_g: float) -> float:
    before = strength * cup_g / _undiluted_g(plan, cup_g)
    if _jar(plan):
        return immersion_extraction(min(before, 0.3), brew_ratio(plan.dose_g, plan.water_g))
    return strength * cup_g / plan.dose_g


def _strength(plan: Plan, extraction: float, cup_g: float) -> float:
    if _jar(plan):
        before = immersion_strength(extraction, brew_ratio(plan.dose_g, plan.water_g))
        return before * _undiluted_g(plan, cup_g) / cup_g
    return extraction * plan.dose_g / cup_g
