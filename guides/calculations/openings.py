"""The first drip as a choice: when to open the valve, and what an earlier or later opening does."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from .assessment import USUAL, Conditions
from .brewing import likely_course
from .constants import DRIP_BLOCKED_S, DRIP_FALLS_S, DRIP_LATEST_S, DRIP_SOONEST_S
from .plan import Action, Anchor, Plan
from .validity import OutOfRange, check_range
from .vessel import Flow


@dataclass(frozen=True)
class Opening:
    """What one opening of the valve gives; clock seconds and seconds of contact, ``None`` where it never comes."""

    opening_s: float
    first_drip_s: float | None
    first_contact_s: float | None
    cup_contact_s: float | None
    drained_s: float | None


class Drip(StrEnum):
    """What a first drop says about the valve."""

    BEFORE_OPENING = "before_opening"  # it was not shut
    AS_IT_SHOULD = "as_it_should"
    SLOW = "slow"
    BLOCKED = "blocked"


def judge_first_drip(opened_s: float, seen_s: float) -> Drip:
    """Judge a valve by when the first drop was seen.

    Args:
        opened_s: clock seconds at which the valve was opened.
        seen_s: clock seconds at which the first drop was seen.

    Returns:
        Before 1 s after opening it was not shut, up to 5 s it is as it should, after 10 s something blocks it.

    Raises:
        OutOfRange: a time that is negative or not finite.

    Valid range: 0 to 3600 s.
    Source: common practice, no source.

    >>> judge_first_drip(75, 78)
    <Drip.AS_IT_SHOULD: 'as_it_should'>
    """
    for name, moment in (("opened_s", opened_s), ("seen_s", seen_s)):
        check_range(name, moment, low=0, high=3600, reason="within one brew")
    after_s = seen_s - opened_s
    if after_s < DRIP_SOONEST_S.value:
        return Drip.BEFORE_OPENING
    if after_s <= DRIP_LATEST_S.value:
        return Drip.AS_IT_SHOULD
    return Drip.SLOW if after_s <= DRIP_BLOCKED_S.value else Drip.BLOCKED


def with_opening(plan: Plan, opening_s: float) -> Plan:
    """Move the first opening of the valve; the steps below it move with it, so that their order and gaps stay.

    Args:
        plan: a valve brew that starts shut.
        opening_s: clock seconds at which to open.

    Returns:
        The plan with its first opening anchored to the start.

    Raises:
        OutOfRange: no opening of a shut valve in the plan, or one outside an hour.

    Valid range: 0 to 3600 s.
    Source: definition.

    >>> from .plan import Step
    >>> from .vessel import Brewer, Cone
    >>> cone = Brewer(Cone(30, 10), 240, 35, Flow.VALVE)
    >>> steps = (Step(Action.POUR, 0, 20, 120), Step(Action.OPEN, 75, 75), Step(Action.POUR, 85, 105, 180))
    >>> [step.start_s for step in with_opening(Plan(15, 180, 92, 740, cone, steps, valve_shut_at_start=True), 60).steps]
    [0, 60, 70.0]
    """
    check_range("opening_s", opening_s, low=0, high=3600, reason="within one brew")
    opens = [index for index, step in enumerate(plan.steps) if step.action is Action.OPEN]
    if plan.brewer.flow is not Flow.VALVE or not plan.valve_shut_at_start or not opens:
        raise OutOfRange("openings", len(opens), low=1, high=None, reason="only a shut valve can be opened")
    first = opens[0]
    moved_s = opening_s - _clock_s(plan, first)
    steps = list(plan.steps)
    steps[first] = replace(steps[first], anchor=Anchor.START, start_s=opening_s, end_s=opening_s)
    for index in range(first + 1, len(steps)):
        step = steps[index]
        if step.anchor is Anchor.START:
            steps[index] = replace(step, start_s=step.start_s + moved_s, end_s=step.end_s + moved_s)
    return replace(plan, steps=tuple(steps))


def _clock_s(plan: Plan, index: int) -> float:
    """Clock seconds at which a step starts; steps before the first opening cannot wait for the coffee."""
    before_s = end_s = 0.0
    for step in plan.steps[: index + 1]:
        before_s = end_s if step.anchor is Anchor.PREVIOUS else 0.0
        end_s = before_s + step.end_s
    return before_s + plan.steps[index].start_s


def opening_for_first_drip(plan: Plan, wanted_s: float, conditions: Conditions = USUAL) -> Plan:
    """Give the plan whose first drop is seen at a wanted time.

    Args:
        plan: a valve brew that starts shut.
        wanted_s: clock seconds of the first drop.
        conditions: where it is brewed, and with which coffee.

    Returns:
        The plan with its opening moved.

    Raises:
        OutOfRange: the grounds are not soaked by then, so that no opening gives a drop at that moment; or as for
            ``with_opening``.

    Valid range: wanted time 2 to 3600 s.
    Source: common practice, no source (1 to 5 s after opening).

    >>> from .plan import Step
    >>> from .vessel import Brewer, Cone
    >>> cone = Brewer(Cone(30, 10), 240, 35, Flow.VALVE)
    >>> steps = (Step(Action.POUR, 0, 20, 120), Step(Action.OPEN, 75, 75))
    >>> opening_for_first_drip(Plan(15, 120, 92, 740, cone, steps, valve_shut_at_start=True), 62).steps[1].start_s
    60.0
    """
    check_range("wanted_s", wanted_s, low=DRIP_FALLS_S.value, high=3600, reason="a drop takes a moment to fall")
    moved = with_opening(plan, wanted_s - DRIP_FALLS_S.value)
    found = likely_course(moved, conditions).first_drip_s
    if found is None or found > wanted_s + DRIP_LATEST_S.value:
        raise OutOfRange("wanted_s", wanted_s, low=found, high=None, reason="the grounds are not soaked by then")
    return moved


def compare_openings(plan: Plan, openings_s: Sequence[float], conditions: Conditions = USUAL) -> tuple[Opening, ...]:
    """Compare openings by when the first drop comes and how long the first 30 g and the whole cup met the coffee.

    Args:
        plan: a valve brew that starts shut.
        openings_s: clock seconds to compare.
        conditions: where it is brewed, and with which coffee.

    Returns:
        One row per opening, in the order given.

    Raises:
        OutOfRange: as for ``with_opening``, or an opening that makes the plan impossible.

    Valid range: 0 to 3600 s.
    Source: drawdown.simulate.

    >>> from .plan import Step
    >>> from .vessel import Brewer, Cone
    >>> cone = Brewer(Cone(30, 10), 240, 35, Flow.VALVE)
    >>> steps = (Step(Action.POUR, 0, 20, 180), Step(Action.OPEN, 75, 75))
    >>> rows = compare_openings(Plan(15, 180, 92, 740, cone, steps, valve_shut_at_start=True), (45, 75, 105))
    >>> [row.first_contact_s for row in rows] == sorted(row.first_contact_s for row in rows)
    True
    """
    rows = []
    for opening_s in openings_s:
        course = likely_course(with_opening(plan, opening_s), conditions)
        rows.append(
            Opening(
                float(opening_s), course.first_drip_s, course.first_contact_s, course.cup_contact_s, course.drained_s
            )
        )
    return tuple(rows)
