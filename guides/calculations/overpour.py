"""Too much poured: the rest of the plan from what the scale shows, so that the cup comes out as it was meant."""

from __future__ import annotations

from dataclasses import dataclass

from .assessment import USUAL, Conditions
from .brewing import COARSE_S, likely_course
from .constants import OVERPOUR_MOST_G, OVERPOUR_STEP_G
from .plan import Action, Plan
from .rounding import round_half_up, whole_grams
from .slurry import Point
from .timeline import on_the_clock
from .validity import OutOfRange, check_range
from .what_fits import shut_limit_g


@dataclass(frozen=True)
class Overpour:
    """What to do once the scale shows ``reading_g`` where step ``step`` (an index) asked for less.

    ``targets_g`` runs along the plan's steps: the scale reading from now on, ``None`` for what is not weighed, is over,
    or is left out. ``water_g`` and ``bypass_g`` are what the brew comes to. ``held_g`` stands in the brewer at that
    moment, where ``limit_g`` fits.
    """

    step: int
    reading_g: float
    targets_g: tuple[float | None, ...]
    water_g: float
    bypass_g: float
    held_g: float
    limit_g: float

    @property
    def spills(self) -> bool:
        """Whether the brewer holds more than fits."""
        return self.held_g > self.limit_g


def replanned(plan: Plan, step: int, reading_g: float, conditions: Conditions = USUAL) -> Overpour:
    """Share out what is left of the water after a pour that went over its target.

    The later pours keep their shares of the water that is left, in whole grams. What went over the whole water is taken
    from the bypass, as far as there is any.

    Args:
        plan: the brew.
        step: index of the pour.
        reading_g: what the scale shows, in g.
        conditions: where it is brewed, and with which coffee.

    Returns:
        The plan from there on.

    Raises:
        OutOfRange: no such pour, or a reading that is not above its target.

    Valid range: reading above the target, up to 40 000 g.
    Source: definition.

    >>> from .plan import Step
    >>> from .vessel import Brewer, Cone, Flow
    >>> cone = Brewer(Cone(30, 10), 500, 60, Flow.OPEN)
    >>> steps = (Step(Action.POUR, 0, 10, 48), Step(Action.POUR, 45, 60, 150), Step(Action.POUR, 75, 95, 252))
    >>> replanned(Plan(16, 252, 97, 660, cone, steps), 0, 60).targets_g
    (None, 156, 252)
    """
    target_g = plan.steps[step].target_g if 0 <= step < len(plan.steps) else None
    if target_g is None or plan.steps[step].action is not Action.POUR:
        raise OutOfRange("step", step, low=0, high=len(plan.steps) - 1, reason="only a pour can go over its target")
    check_range("reading_g", reading_g, above=target_g, high=40_000, reason="a scale reading over the target")
    course = likely_course(plan, conditions, COARSE_S)
    ends_s = [placed.end_s for placed in on_the_clock(plan, course.timeline.times).steps]
    limit_g = shut_limit_g(plan.brewer.usable_ml, plan.dose_g, conditions.gas)

    def ran_out_g(index: int) -> float:
        return _drained_g(course.points, ends_s[index])

    later = [index for index in range(step + 1, len(plan.steps)) if plan.steps[index].action is Action.POUR]
    poured = dict(zip(later, _shared(plan, step, reading_g, later), strict=False))
    for index in later[:-1]:  # the water still to come waits for room; the last target is the plan's own
        if index in poured and poured[index] - ran_out_g(index) > limit_g:
            least_g = max([reading_g, *(poured[before] for before in later if before < index)]) + 1
            poured[index] = max(plan.steps[index].target_g or 0.0, least_g)
    water_g = poured[later[-1]] if poured else reading_g
    bypass_g = max(plan.water_g + plan.bypass_g - water_g, 0.0)
    targets = dict(poured)
    for index in range(step + 1, len(plan.steps)):
        if plan.steps[index].action is Action.ADD_BYPASS and bypass_g > 0:
            targets[index] = water_g + bypass_g
    return Overpour(
        step,
        float(reading_g),
        tuple(targets.get(index) for index in range(len(plan.steps))),
        water_g,
        bypass_g,
        reading_g - ran_out_g(step),
        limit_g,
    )


def overpours(plan: Plan, conditions: Conditions = USUAL) -> tuple[Overpour, ...]:
    """Re-plan every pour of a plan for every over-pour a page is sent: each 5 g over its target, up to 40 g.

    Args:
        plan: the brew.
        conditions: where it is brewed, and with which coffee.

    Returns:
        One row per pour and reading, in order.

    Raises:
        OutOfRange: as for ``drawdown.simulate``.

    Valid range: as for ``drawdown.simulate``.
    Source: definition; span and step own defaults.

    >>> from .plan import Step
    >>> from .vessel import Brewer, Cone, Flow
    >>> plan = Plan(16, 48, 97, 660, Brewer(Cone(30, 10), 500, 60, Flow.OPEN), (Step(Action.POUR, 0, 10, 48),))
    >>> [row.reading_g for row in overpours(plan)]
    [53.0, 58.0, 63.0, 68.0, 73.0, 78.0, 83.0, 88.0]
    """
    rows = int(OVERPOUR_MOST_G.value / OVERPOUR_STEP_G.value)
    return tuple(
        replanned(plan, index, round_half_up(step.target_g) + OVERPOUR_STEP_G.value * row, conditions)
        for index, step in enumerate(plan.steps)
        if step.action is Action.POUR and step.target_g is not None
        for row in range(1, rows + 1)
    )


def _shared(plan: Plan, step: int, reading_g: float, later: list[int]) -> list[float]:
    """Targets of the later pours; none where not a gram is left for each."""
    before_g = plan.steps[step].target_g or 0.0
    left_g = plan.water_g - reading_g
    if not later or left_g < len(later):
        return []
    share = left_g / (plan.water_g - before_g)
    increments = whole_grams([((plan.steps[index].target_g or 0.0) - before_g) * share for index in later])
    return [reading_g + grams for grams in increments]


def _drained_g(points: tuple[Point, ...], time_s: float) -> float:
    return max((point.drained_g for point in points if point.time_s <= time_s), default=0.0)
