"""Each rule finds its fault, and nothing else; a sound plan has none."""

import math
from dataclasses import replace

import pytest

from guides.calculations.plan import Action, Anchor, Path, Plan, Step
from guides.calculations.plan_rules import as_written, check_numbers, in_time
from guides.calculations.timeline import Events, resolve
from guides.calculations.validity import OutOfRange

from .demo_plans import BELL_JAR, DEMO, MAST_CONE, OUTER_MARK, ROPE_WALK_S, WINTER_KEEL, pour

TWO = (pour(0, 10, 50), pour(45, 85, 240))


def plan(*steps: Step, **changes: object) -> Plan:
    return replace(Plan(15, 240, 93, 700, MAST_CONE, steps), **changes)


def codes(checked: Plan) -> list[str]:
    times = resolve(checked, lambda part: Events(60, 200)).times
    return [finding.code for finding in (*as_written(checked), *in_time(checked, times))]


@pytest.mark.parametrize("name", DEMO)
def test_the_demo_guides_are_sound(name):
    assert codes(DEMO[name][0]) == []


@pytest.mark.parametrize(
    ("faulty", "code"),
    [
        (plan(), "no_pour"),
        (plan(pour(0, 10, 50), Step(Action.POUR, 45, 85, None)), "pour_without_target"),
        (plan(pour(0, 10, 50), pour(20, 30, 50), pour(45, 85, 240)), "targets_not_rising"),
        (plan(pour(0, 10, 50), pour(45, 85, 230)), "targets_do_not_add_up"),
        (plan(*TWO, Step(Action.ADD_BYPASS, 200, 210, 290), bypass_g=60), "bypass_does_not_add_up"),
        (plan(pour(0, 10, 50), pour(85, 45, 240)), "ends_before_start"),
        (plan(pour(0, 10, 50), pour(45, 85, 240), Step(Action.SWIRL, 40, 41)), "steps_out_of_order"),
        (plan(pour(0, 10, 50), pour(8, 48, 240)), "overlapping_pours"),
        (plan(pour(0, 10, 50), pour(45, 45, 240)), "pour_takes_no_time"),
        (plan(pour(0, 10, 50), pour(45, 55, 240)), "pour_too_fast"),
        (plan(pour(0, 60, 50), pour(90, 130, 240)), "pour_too_slow"),
        (plan(*TWO, Step(Action.OPEN, 90, 90)), "valve_without_valve"),
        (plan(*TWO, valve_shut_at_start=True), "valve_without_valve"),
        (plan(pour(0, 10, 50, Path.CENTRE), pour(45, 85, 240, Path.CENTRE)), "rim_left_dry"),
        (plan(pour(0, 10, 50), pour(45, 70, 160), water_g=160), "brew_ratio_tight"),
        (plan(*TWO, bypass_g=110), "much_bypass"),
        (plan(pour(0, 10, 50), pour(8000, 8040, 240)), "plan_too_long"),
        (replace(ROPE_WALK_S, steps=ROPE_WALK_S.steps[:3] + ROPE_WALK_S.steps[4:]), "never_opens"),
        (replace(ROPE_WALK_S, valve_shut_at_start=False), "valve_already_so"),
        (replace(WINTER_KEEL, steps=WINTER_KEEL.steps[:-1]), "never_decanted"),
        (
            replace(WINTER_KEEL, steps=(WINTER_KEEL.steps[0], Step(Action.DECANT, 20, 60))),
            "decanted_while_pouring",
        ),
        (
            replace(WINTER_KEEL, steps=(*WINTER_KEEL.steps, pour(530, 540, 490)), water_g=490),
            "pour_after_decant",
        ),
    ],
)
def test_each_fault_is_found_alone(faulty, code):
    assert codes(faulty) == [code]


def test_the_numbers_of_the_sum():
    found = as_written(plan(pour(0, 10, 50), pour(45, 85, 230)))[0]
    assert found.numbers == {"target_g": 230, "water_g": 240, "difference_g": -10}
    assert found.step == 1


def test_over_ice_little_water_is_the_method():
    iced = plan(pour(0, 10, 50), pour(45, 65, 150), water_g=150, ice_g=90)
    assert codes(iced) == []


def test_a_spoon_reaches_the_rim_too():
    stirred = plan(pour(0, 10, 50, Path.CENTRE), Step(Action.STIR, 15, 18, turns=2), pour(45, 85, 240, Path.CENTRE))
    assert codes(stirred) == []


def test_a_jar_is_filled_in_one_go():
    jar = plan(Step(Action.POUR, 0, 0, 240), Step(Action.DECANT, 240, 250), brewer=BELL_JAR)
    assert codes(jar) == []


@pytest.mark.parametrize(
    ("argument", "change"),
    [
        *(("dose_g", {"dose_g": bad}) for bad in (0, -1, math.nan, math.inf, 3000)),
        *(("water_g", {"water_g": bad}) for bad in (0, -1, math.nan, math.inf)),
        *(("kettle_c", {"kettle_c": bad}) for bad in (-20, math.nan, math.inf, 200)),
        *(("grind_um", {"grind_um": bad}) for bad in (0, 5, math.nan)),
        *(("bypass_g", {"bypass_g": bad}) for bad in (-1, math.nan)),
        *(("ice_g", {"ice_g": bad}) for bad in (-1, math.nan)),
        ("usable_ml", {"brewer": replace(MAST_CONE, usable_ml=0)}),
        ("start_s", {"steps": (Step(Action.POUR, math.nan, 10, 240),)}),
        ("end_s", {"steps": (Step(Action.POUR, 0, math.inf, 240),)}),
        ("target_g", {"steps": (Step(Action.POUR, 0, 10, math.nan),)}),
    ],
)
def test_nonsense_is_refused_by_name(argument, change):
    with pytest.raises(OutOfRange) as refused:
        check_numbers(replace(OUTER_MARK, **change))
    assert refused.value.argument == argument
    assert refused.value.reason


def test_an_anchor_may_move_a_pour_into_another():
    steps = (pour(0, 100, 120), replace(pour(5, 45, 240), anchor=Anchor.FIRST_DRIP))
    assert "overlapping_pours" in codes(plan(*steps))
