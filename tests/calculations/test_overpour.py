"""Over-pours: what was poured stays poured, the rest adds up, and the brewer's limit is told."""

from itertools import pairwise

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from guides.calculations.assessment import Conditions
from guides.calculations.constants import OVERPOUR_MOST_G, OVERPOUR_STEP_G
from guides.calculations.overpour import overpours, replanned
from guides.calculations.plan import Action, Plan, Step
from guides.calculations.validity import OutOfRange
from guides.calculations.vessel import Brewer, Cone, Flow

from .demo_plans import DEMO, ROPE_WALK_S

CONE = Brewer(Cone(30, 10), 900, 60, Flow.OPEN)


@st.composite
def pulses(draw: st.DrawFn) -> Plan:
    """A plan of one to five pours, with or without bypass."""
    grams = draw(st.lists(st.integers(20, 120), min_size=1, max_size=5))
    targets = [sum(grams[: index + 1]) for index in range(len(grams))]
    steps = [Step(Action.POUR, 30 * index, 30 * index + 15, target) for index, target in enumerate(targets)]
    bypass_g = draw(st.sampled_from([0, 40, 100]))
    if bypass_g:
        steps.append(Step(Action.ADD_BYPASS, 200, 210, targets[-1] + bypass_g))
    return Plan(20, targets[-1], 93, 700, CONE, tuple(steps), bypass_g=bypass_g)


@given(plan=pulses(), data=st.data())
@settings(max_examples=60, deadline=None)
def test_the_rest_adds_up_to_what_the_cup_was_meant_to_be(plan: Plan, data: st.DataObject):
    pours = [index for index, step in enumerate(plan.steps) if step.action is Action.POUR]
    step = data.draw(st.sampled_from(pours))
    over_g = data.draw(st.integers(1, 200))
    reading_g = (plan.steps[step].target_g or 0) + over_g
    row = replanned(plan, step, reading_g)
    total_g = plan.water_g + plan.bypass_g
    assert row.water_g + row.bypass_g == pytest.approx(max(total_g, row.water_g))
    assert row.water_g >= reading_g
    assert row.bypass_g >= 0
    later = [row.targets_g[index] for index in pours if index > step and row.targets_g[index] is not None]
    readings = [reading_g, *later]
    assert all(after - before >= 1 for before, after in pairwise(readings))
    assert readings[-1] == row.water_g
    if plan.water_g - reading_g >= len([index for index in pours if index > step]):
        assert row.water_g == max(plan.water_g, reading_g)  # what is left of the water still goes through the coffee
    adds = [target for index, target in enumerate(row.targets_g) if plan.steps[index].action is Action.ADD_BYPASS]
    assert adds in ([], [None] if row.bypass_g == 0 else [row.water_g + row.bypass_g])


@given(plan=pulses(), over_g=st.integers(1, 30))
@settings(max_examples=40, deadline=None)
def test_later_pours_keep_their_shares(plan: Plan, over_g: int):
    """Worked by hand: each later pour shrinks by the same factor, give or take the gram of rounding."""
    pours = [step.target_g or 0 for step in plan.steps if step.action is Action.POUR]
    assume(len(pours) > 2 and plan.water_g - pours[0] - over_g > 5 * len(pours))
    row = replanned(plan, 0, pours[0] + over_g)
    factor = (plan.water_g - pours[0] - over_g) / (plan.water_g - pours[0])
    for index in range(1, len(pours)):
        assert row.targets_g[index] == pytest.approx(pours[0] + over_g + factor * (pours[index] - pours[0]), abs=1)


def test_by_hand():
    """15 g, 180 + 60 g in three pours to 60, 120 and 180: 20 g over at the second leaves 40 for the third; 20 over at
    the third leave 40 for the cup."""
    second, third = replanned(ROPE_WALK_S, 1, 140), replanned(ROPE_WALK_S, 4, 200)
    assert (second.targets_g[4], second.water_g, second.bypass_g) == (180, 180, 60)
    assert (third.water_g, third.bypass_g, third.targets_g[5]) == (200, 40, 240)


def test_more_than_all_of_it_drops_the_later_pours():
    row = replanned(ROPE_WALK_S, 1, 260)
    assert row.targets_g == (None,) * 6
    assert (row.water_g, row.bypass_g) == (260, 0)


def test_the_shut_valve_holds_only_so_much():
    """240 mL, 15 g, lively: 0.96 × (240 − 15 × 2.5) = 194 g, told as 190 (calculations, section 4)."""
    shut = Plan(
        15,
        180,
        92,
        740,
        ROPE_WALK_S.brewer,
        (Step(Action.POUR, 0, 40, 180), Step(Action.OPEN, 75, 75)),
        bypass_g=60,
        valve_shut_at_start=True,
    )
    assert [row.spills for row in overpours(shut)] == [False, False, True, True, True, True, True, True]


@pytest.mark.parametrize("name", DEMO)
def test_rows_cover_the_stated_span_for_every_pour(name: str):
    plan, conditions, _targets = DEMO[name]
    rows = overpours(plan, conditions)
    pours = [step for step in plan.steps if step.action is Action.POUR]
    assert len(rows) == len(pours) * OVERPOUR_MOST_G.value / OVERPOUR_STEP_G.value
    for row in rows:
        target_g = plan.steps[row.step].target_g or 0
        assert 0 < row.reading_g - target_g <= OVERPOUR_MOST_G.value
        for index, target in enumerate(row.targets_g):
            if target is not None and plan.steps[index].action is Action.POUR:
                assert target <= max(row.water_g, plan.water_g)


@pytest.mark.parametrize(("step", "reading_g"), [(0, 60), (0, 59), (2, 100), (9, 100), (-1, 300)])
def test_refuses_what_is_no_over_pour(step: int, reading_g: float):
    with pytest.raises(OutOfRange):
        replanned(ROPE_WALK_S, step, reading_g, Conditions())
