"""Usual plans: each can be published as it is, in every brewer it is offered for."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from guides.calculations.assess import assess
from guides.calculations.assessment import Conditions
from guides.calculations.freshness import GasLevel
from guides.calculations.plan import Action
from guides.calculations.presets import LEAST_DOSE_G, Method, methods_for, most_dose_g, usual_plan
from guides.calculations.validity import OutOfRange, Severity
from guides.calculations.vessel import Brewer, Cone, Cylinder, Flow

from .demo_plans import BELL_JAR, MAST_CONE, TIDEGATE_L, TIDEGATE_S

DEMO = {"Tidegate S": TIDEGATE_S, "Tidegate L": TIDEGATE_L, "Mast cone": MAST_CONE, "Bell jar": BELL_JAR}
BREWERS = st.builds(
    Brewer,
    st.one_of(st.builds(Cone, st.floats(20, 45), st.floats(4, 20)), st.builds(Cylinder, st.floats(25, 80))),
    st.floats(60, 2000),
    st.floats(0, 400),
    st.sampled_from(Flow),
)
CONDITIONS = st.builds(Conditions, altitude_m=st.floats(-400, 4000), gas=st.sampled_from(GasLevel))


@settings(max_examples=150)
@given(brewer=BREWERS, conditions=CONDITIONS, data=st.data())
def test_every_plan_offered_could_be_published(brewer, conditions, data):
    for method in methods_for(brewer, conditions.gas):
        most = most_dose_g(method, brewer, conditions.gas)
        dose = data.draw(st.one_of(st.none(), st.floats(LEAST_DOSE_G, most)))
        plan = usual_plan(method, brewer, conditions, dose_g=dose)
        assert assess(plan, conditions).refusals == ()


@pytest.mark.parametrize("gas", GasLevel)
@pytest.mark.parametrize("name", DEMO)
def test_in_the_brewers_of_the_demo_nothing_is_left_to_look_at(name, gas):
    conditions = Conditions(gas=gas)
    for method in methods_for(DEMO[name], gas):
        found = assess(usual_plan(method, DEMO[name], conditions), conditions).cautions
        assert [finding for finding in found if finding.severity is not Severity.NOTE] == []


@pytest.mark.parametrize(
    ("name", "methods"),
    [
        ("Tidegate S", {Method.VALVE, Method.PULSES, Method.OVER_ICE}),
        ("Tidegate L", {Method.VALVE, Method.PULSES, Method.OVER_ICE}),
        ("Mast cone", {Method.PULSES, Method.OVER_ICE}),
        ("Bell jar", {Method.IMMERSION}),
    ],
)
def test_a_brewer_is_offered_what_it_is_made_for(name, methods):
    """Definition: only a valve can be shut, only a jar is decanted."""
    assert set(methods_for(DEMO[name])) == methods


@given(brewer=BREWERS, gas=st.sampled_from(GasLevel))
@settings(max_examples=100)
def test_a_brewer_for_a_cup_is_offered_something(brewer, gas):
    """A 250 mL brewer holds a small cup whatever its shape; with nothing offered the law above would say nothing."""
    if brewer.usable_ml >= 250:
        assert methods_for(brewer, gas)


@settings(max_examples=60)
@given(brewer=BREWERS, conditions=CONDITIONS)
def test_ratios_bloom_and_times_are_those_of_the_trade(brewer, conditions):
    """Common practice, no source: 1:15 to 1:17 in the cup, a first pour of 2 to 3 times the dose, 30 to 45 s of it."""
    for method in methods_for(brewer, conditions.gas):
        plan = usual_plan(method, brewer, conditions)
        assert 14.9 <= (plan.water_g + plan.bypass_g + plan.ice_g) / plan.dose_g <= 17.1
        first, *later = [step for step in plan.steps if step.action is Action.POUR]
        if method is not Method.IMMERSION:
            assert 1.9 * plan.dose_g <= first.target_g <= 3.1 * plan.dose_g
            assert 30 <= later[0].start_s <= 60
        assert plan.water_g == [step.target_g for step in plan.steps if step.action is Action.POUR][-1]


def test_a_dose_and_a_water_of_ones_own_are_kept():
    plan = usual_plan(Method.PULSES, MAST_CONE, dose_g=18.5, water_g=300)
    assert (plan.dose_g, plan.water_g) == (18.5, 300)
    assert plan.steps[-2].target_g == 300
    assert assess(plan).refusals == ()


def test_a_cone_that_drains_while_it_is_filled_takes_more_than_it_holds():
    most = most_dose_g(Method.PULSES, MAST_CONE)
    assert assess(usual_plan(Method.PULSES, MAST_CONE, dose_g=most + 4)).refusals == ()


@pytest.mark.parametrize(
    ("method", "brewer", "wish", "argument"),
    [
        (Method.VALVE, MAST_CONE, {}, "flow"),
        (Method.IMMERSION, TIDEGATE_S, {}, "flow"),
        (Method.VALVE, TIDEGATE_S, {"dose_g": 30}, "dose_g"),
        (Method.VALVE, TIDEGATE_S, {"dose_g": 15, "water_g": 240}, "water_g"),
        (Method.IMMERSION, BELL_JAR, {"dose_g": 90}, "dose_g"),
        (Method.PULSES, MAST_CONE, {"dose_g": 99}, "dose_g"),
        (Method.PULSES, MAST_CONE, {"dose_g": 15, "water_g": 30}, "water_g"),
        (Method.PULSES, MAST_CONE, {"dose_g": float("nan")}, "dose_g"),
    ],
)
def test_what_does_not_fit_is_refused_by_name(method, brewer, wish, argument):
    with pytest.raises(OutOfRange) as refused:
        usual_plan(method, brewer, **wish)
    assert refused.value.argument == argument
