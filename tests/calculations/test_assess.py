"""The one way in: the demo guides stand, every fault comes back as a refusal, and nothing typed breaks it."""

import math
from dataclasses import fields, replace
from itertools import pairwise

import pytest
from hypothesis import given, settings

from guides.calculations.assess import assess
from guides.calculations.assessment import NO_TARGETS, USUAL, Conditions, Targets
from guides.calculations.findings import CAUTIONS, NOTES, REFUSALS
from guides.calculations.freshness import GasLevel
from guides.calculations.plan import Action, Anchor, Step
from guides.calculations.validity import OutOfRange, Severity, Window

from .any_plans import CONDITIONS, NONSENSE, PLANS, TARGETS
from .demo_plans import DEMO, KELP_LIGHT, OUTER_MARK, ROPE_WALK_L, ROPE_WALK_S, WINTER_KEEL, pour


def codes(plan, conditions=USUAL, targets=NO_TARGETS):
    return [finding.code for finding in assess(plan, conditions, targets).refusals]


@pytest.mark.parametrize("name", DEMO)
def test_the_demo_guides_can_be_published(name):
    assessment = assess(*DEMO[name])
    assert assessment.refusals == ()
    assert [found for found in assessment.cautions if found.severity is Severity.CAUTION] == []
    assert len(assessment.step_times) == len(DEMO[name][0].steps)


def test_the_pulses_come_out_as_written():
    """1:16.5, 1.46 %, 21 %: as written on the guide."""
    found = assess(*DEMO["outer mark"])
    assert found.brew_ratio == 16.5
    assert found.strength.likely == pytest.approx(0.0146, abs=0.0001)
    assert found.extraction.likely == pytest.approx(0.21, abs=0.002)
    assert found.drained.low < found.drained.likely < found.drained.high


def test_the_small_valve_brew_comes_out_as_written():
    """1:12 / 1:16; valve opened at 1:15; up to 60 g of bypass: as written on the guide."""
    found = assess(*DEMO["rope walk S"])
    assert (found.brew_ratio, found.cup_ratio) == (12, 16)
    assert (found.shut_limit_g, found.shut_charge_g) == (190, 120)
    assert 76 <= found.first_drip.low <= found.first_drip.likely <= found.first_drip.high <= 80
    assert found.bypass[-1].added_g == 60
    assert found.bypass[-1].strength.likely == pytest.approx(0.013)
    assert found.step_times[-1].predicted
    assert found.step_times[-1].start_s == pytest.approx(found.drained.likely, abs=5)


def test_the_jar_neither_drips_nor_drains():
    found = assess(*DEMO["winter keel"])
    assert found.first_drip is None
    assert found.drained is None
    assert found.shut_limit_g is None
    assert found.cup_g.likely == pytest.approx(480 - 2.1 * 32 - 30)


def test_a_cup_in_the_hills():
    """At 1,480 m water boils near 95 °C (US Standard Atmosphere 1976, IAPWS-97): 97 °C is refused, 94 °C is not."""
    hills = Conditions(altitude_m=1480)
    refused = assess(OUTER_MARK, hills).refusals
    assert [finding.code for finding in refused] == ["hotter_than_boiling"]
    assert refused[0].numbers["cap_c"] == pytest.approx(94.05, abs=0.05)
    assert codes(replace(OUTER_MARK, kettle_c=94), hills) == []


def test_too_much_above_the_shut_valve_is_refused_with_the_split():
    steps = (pour(0, 40, 240), Step(Action.OPEN, 75, 75))
    full = replace(ROPE_WALK_S, water_g=240, bypass_g=0, steps=steps)
    refused = assess(full, Conditions(gas=GasLevel.LIVELY)).refusals
    assert [finding.code for finding in refused] == ["overflows_shut"]
    assert refused[0].numbers == {"limit_g": 190, "charge_g": 240, "water_g": 190, "bypass_g": 50}


@pytest.mark.parametrize(
    ("faulty", "code"),
    [
        (replace(OUTER_MARK, steps=()), "no_pour"),
        (replace(OUTER_MARK, water_g=270), "targets_do_not_add_up"),
        (replace(OUTER_MARK, valve_shut_at_start=True), "valve_without_valve"),
        (replace(ROPE_WALK_L, steps=ROPE_WALK_L.steps[:2], water_g=260), "never_opens"),
        (replace(OUTER_MARK, kettle_c=100), "hotter_than_boiling"),
        (replace(OUTER_MARK, kettle_c=120), "hotter_than_boiling"),
        (replace(WINTER_KEEL, steps=WINTER_KEEL.steps[:-1]), "never_decanted"),
        (replace(OUTER_MARK, brewer=replace(OUTER_MARK.brewer, usable_ml=70)), "overflows"),
        (replace(OUTER_MARK, water_g=18, steps=(pour(0, 8, 18),)), "nothing_runs_off"),
        (
            replace(ROPE_WALK_S, steps=(pour(0, 12, 60), replace(pour(5, 25, 180), anchor=Anchor.FIRST_DRIP))),
            "anchor_never_comes",
        ),
    ],
)
def test_faults_come_back_as_refusals(faulty, code):
    assert code in codes(faulty)


def test_a_promised_first_drip_before_the_valve_opens_is_told():
    found = assess(ROPE_WALK_S, Conditions(), Targets(first_drip_s=40))
    assert "first_drip_off" in [finding.code for finding in found.cautions]


def test_pours_may_wait_for_the_coffee():
    """A pour 10 s after the first drip, and one more once it has drained."""
    steps = (
        pour(0, 10, 60),
        replace(pour(10, 30, 160), anchor=Anchor.FIRST_DRIP),
        replace(pour(5, 25, 264), anchor=Anchor.DRAINED),
    )
    found = assess(replace(OUTER_MARK, steps=steps))
    assert found.refusals == ()
    first, second, third = found.step_times
    assert not first.predicted
    assert second.predicted
    assert third.predicted
    assert first.end_s < second.start_s < third.start_s < found.course[-1].time_s
    assert found.course[-1].poured_g == pytest.approx(264)


def test_windows_narrow_and_move_with_trial_brews():
    none = assess(OUTER_MARK).drained
    three = assess(OUTER_MARK, Conditions(trial_flow_factors=(0.75, 0.76, 0.74))).drained
    many = assess(OUTER_MARK, Conditions(trial_flow_factors=(0.75,) * 20)).drained
    assert (none.trials, three.trials, many.trials) == (0, 3, 20)
    assert none.likely < three.likely <= many.likely
    assert many.high - many.low <= three.high - three.low


def test_a_guide_without_promise_says_what_its_bypass_table_rests_on():
    found = assess(KELP_LIGHT)
    assert "extraction_assumed" in [finding.code for finding in found.cautions]
    assert found.bypass[0].strength.low < found.bypass[0].strength.high


@pytest.mark.parametrize("name", DEMO)
def test_the_course_is_a_brew(name):
    plan, conditions, targets = DEMO[name]
    course = assess(plan, conditions, targets).course
    assert all(later.time_s >= now.time_s for now, later in pairwise(course))
    assert all(later.drained_g >= now.drained_g for now, later in pairwise(course))
    assert course[-1].poured_g == pytest.approx(plan.water_g)
    assert max(point.slurry_c for point in course) < plan.kettle_c


def numbers(value):
    if isinstance(value, float | int):
        yield value
    elif isinstance(value, Window):
        yield from (value.low, value.likely, value.high)
    elif isinstance(value, tuple):
        for part in value:
            yield from numbers(part)
    elif hasattr(value, "__dataclass_fields__"):
        for part in fields(value):
            yield from numbers(getattr(value, part.name))


@settings(max_examples=150)
@given(plan=PLANS, conditions=CONDITIONS, targets=TARGETS)
def test_whatever_is_typed_comes_back_as_numbers_and_findings(plan, conditions, targets):
    found = assess(plan, conditions, targets)
    assert all(math.isfinite(number) for number in numbers(found))
    known = {Severity.REFUSAL: REFUSALS, Severity.CAUTION: CAUTIONS, Severity.NOTE: NOTES}
    assert all(finding.code in known[finding.severity] for finding in found.cautions)
    assert all(math.isfinite(number) for finding in found.cautions for number in finding.numbers.values())
    assert all(finding.step is None or 0 <= finding.step < len(plan.steps) for finding in found.cautions)
    assert len(found.step_times) == len(plan.steps)


@settings(max_examples=60)
@given(bad=NONSENSE)
@pytest.mark.parametrize("name", ["dose_g", "water_g", "bypass_g", "ice_g", "kettle_c", "grind_um"])
def test_nonsense_numbers_are_refused_by_name(name, bad):
    with pytest.raises(OutOfRange) as refused:
        assess(replace(OUTER_MARK, **{name: bad}))
    assert refused.value.argument == name


@pytest.mark.parametrize(
    ("argument", "bad"),
    [
        ("altitude_m", Conditions(altitude_m=9000)),
        ("altitude_m", Conditions(altitude_m=math.nan)),
        ("room_c", Conditions(room_c=80)),
        ("trials", Conditions(trial_retentions=(math.nan,))),
        ("factors", Conditions(trial_flow_factors=(0.0,))),
    ],
)
def test_places_and_trials_that_cannot_be(argument, bad):
    with pytest.raises(OutOfRange) as refused:
        assess(OUTER_MARK, bad)
    assert refused.value.argument == argument
