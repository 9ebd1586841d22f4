"""A published plan made the reader's own."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from guides.calculations.adapt import Confidence, Request, adapt, reader_conditions
from guides.calculations.adaptation import Change, Unmet
from guides.calculations.assessment import Conditions
from guides.calculations.findings import CHANGES, REASONS, UNMET
from guides.calculations.freshness import GasLevel
from guides.calculations.grind import size_um
from guides.calculations.plan import Action
from guides.calculations.scaling import brew_ratio, cup_ratio
from guides.calculations.validity import OutOfRange

from .demo_plans import (
    BELL_JAR,
    DEMO,
    HARROW,
    KELP_LIGHT,
    MAST_CONE,
    OUTER_MARK,
    ROPE_WALK_L,
    ROPE_WALK_S,
    THIMBLE,
    TIDEGATE_L,
    TIDEGATE_S,
    WINTER_KEEL,
)

WISHES = st.builds(
    lambda size, brewer, grinder, altitude, gas, tap, simple: Request(
        **size,
        brewer=brewer,
        grinder=grinder,
        altitude_m=altitude,
        gas=gas,
        alkalinity_mg_l=tap,
        simple=simple,
    ),
    st.one_of(
        st.just({}),
        st.fixed_dictionaries({"dose_g": st.floats(8, 60)}),
        st.fixed_dictionaries({"cup_g": st.floats(120, 900)}),
        st.fixed_dictionaries({"bag_left_g": st.floats(8, 40)}),
        st.just({"fill_brewer": True}),
    ),
    st.sampled_from([None, TIDEGATE_S, TIDEGATE_L, MAST_CONE, BELL_JAR]),
    st.sampled_from([None, HARROW, THIMBLE]),
    st.one_of(st.none(), st.floats(-100, 4000)),
    st.one_of(st.none(), st.sampled_from(GasLevel)),
    st.one_of(st.none(), st.floats(0, 400)),
    st.booleans(),
)
GUIDES = st.sampled_from(list(DEMO))


def codes(found):
    return {each.code for each in found}


@settings(max_examples=60)
@given(name=GUIDES, request=WISHES)
def test_whatever_is_asked_the_plan_adds_up_and_says_what_changed(name, request):
    plan, conditions, targets = DEMO[name]
    adapted = adapt(plan, request, conditions, targets)
    new = adapted.plan
    targets_g = [step.target_g for step in new.steps if step.action is Action.POUR]
    assert targets_g == sorted(targets_g)
    assert targets_g[-1] == new.water_g
    assert len(new.steps) == len(plan.steps)
    named = {change.code: change.after for change in adapted.changes if change.step is None}
    for figure in ("dose_g", "water_g", "bypass_g", "ice_g", "kettle_c", "grind_um"):
        old, now = getattr(plan, figure), getattr(new, figure)
        assert named.get(figure, old) == now
    assert codes(adapted.changes) <= set(CHANGES)
    assert {change.reason for change in adapted.changes} <= set(REASONS)
    assert codes(adapted.unmet) <= set(UNMET)
    assert all(math.isfinite(change.after) for change in adapted.changes)
    trouble = codes(adapted.assessment.refusals)
    told = {
        "overflows": "still_overflows",
        "overflows_shut": "still_overflows",
        "target_above_plateau": "target_not_reached",
    }
    assert {told[code] for code in trouble} <= codes(adapted.unmet)


@settings(max_examples=40)
@given(name=GUIDES, request=WISHES)
def test_the_cups_ratio_is_kept(name, request):
    plan, conditions, _ = DEMO[name]
    new = adapt(plan, request, conditions).plan
    before = cup_ratio(plan.dose_g, plan.water_g, plan.bypass_g, plan.ice_g)
    after = cup_ratio(new.dose_g, new.water_g, new.bypass_g, new.ice_g)
    assert after == pytest.approx(before, abs=1.6 / new.dose_g)  # water, bypass and ice are each rounded to a gram


@pytest.mark.parametrize("name", DEMO)
def test_asking_for_nothing_changes_nothing(name):
    plan, conditions, targets = DEMO[name]
    adapted = adapt(plan, Request(), conditions, targets)
    assert adapted.plan == plan
    assert adapted.changes == ()
    assert adapted.unmet == ()


def test_a_cup_in_the_hills():
    """Guide 2 asks 97 °C; at 1,480 m water boils near 95 °C: capped, ground finer, and said."""
    adapted = adapt(OUTER_MARK, Request(altitude_m=1480), DEMO["outer mark"][1])
    assert adapted.plan.kettle_c == 94
    assert adapted.plan.grind_um < OUTER_MARK.grind_um
    assert codes(adapted.unmet) == {"kettle_below_guide"}
    reasons = {change.code: change.reason for change in adapted.changes}
    assert (reasons["kettle_c"], reasons["grind_um"]) == ("boils_lower", "cooler_water")
    assert adapted.assessment.refusals == ()


def test_a_boiling_point_says_as_much_as_an_altitude():
    """1500 m and 94.984 °C belong together (US Standard Atmosphere 1976, IAPWS-97)."""
    assert reader_conditions(Request(boiling_c=94.984), Conditions()).altitude_m == pytest.approx(1500, abs=1)
    by_height = adapt(OUTER_MARK, Request(altitude_m=1500)).plan
    assert adapt(OUTER_MARK, Request(boiling_c=94.984)).plan == by_height


def test_a_smaller_cone_splits_its_bypass():
    adapted = adapt(replace(ROPE_WALK_L, dose_g=15, water_g=240, steps=_scaled_steps()), Request(brewer=TIDEGATE_S))
    reasons = {change.code: change.reason for change in adapted.changes}
    assert reasons["bypass_g"] == "fits_shut"
    assert adapted.plan.water_g + adapted.plan.bypass_g == 240


def _scaled_steps():
    first, second, opened, last = ROPE_WALK_L.steps
    return (replace(first, target_g=60), replace(second, target_g=235), opened, replace(last, target_g=240))


def test_twice_the_dose_drains_later_and_is_ground_no_finer():
    adapted = adapt(OUTER_MARK, Request(dose_g=32))
    drained = next(change for change in adapted.changes if change.code == "drained_s")
    assert drained.after > drained.before
    assert drained.confidence is Confidence.PREDICTED
    assert adapted.plan.grind_um >= OUTER_MARK.grind_um
    assert brew_ratio(adapted.plan.dose_g, adapted.plan.water_g) == 16.5


def test_a_grinder_shows_where_its_click_lands():
    adapted = adapt(ROPE_WALK_S, Request(grinder=THIMBLE))
    assert adapted.setting.setting == 21
    assert adapted.plan.grind_um == adapted.setting.landed_um == size_um(THIMBLE, 21)
    far = adapt(replace(ROPE_WALK_S, grind_um=1300), Request(grinder=THIMBLE))
    assert far.setting is None
    assert codes(far.unmet) == {"grinder_out_of_points"}


def test_hard_water_is_blended_and_soft_water_is_told():
    hard = adapt(OUTER_MARK, Request(alkalinity_mg_l=190, guide_alkalinity_mg_l=50))
    share = next(change for change in hard.changes if change.code == "tap_share")
    assert share.after == pytest.approx(0.255, abs=0.0005)  # the worked blend: 190 → 50 with soft water of 2
    soft = adapt(OUTER_MARK, Request(alkalinity_mg_l=5, guide_alkalinity_mg_l=50))
    assert codes(soft.unmet) == {"alkalinity_off"}


@pytest.mark.parametrize(
    ("plan", "brewer", "code"),
    [
        (WINTER_KEEL, MAST_CONE, "not_the_same_method"),
        (OUTER_MARK, BELL_JAR, "not_the_same_method"),
        (ROPE_WALK_S, MAST_CONE, "no_valve"),
        (KELP_LIGHT, MAST_CONE, "no_valve"),
    ],
)
def test_a_brewer_that_cannot_do_it_is_not_pretended(plan, brewer, code):
    adapted = adapt(plan, Request(brewer=brewer))
    assert adapted.plan.brewer == plan.brewer
    assert code in codes(adapted.unmet)


def test_far_too_much_for_a_small_cone_says_what_would_fit():
    adapted = adapt(ROPE_WALK_S, Request(dose_g=30))
    unmet = next(unmet for unmet in adapted.unmet if unmet.code == "bypass_beyond_practice")
    assert 15 <= unmet.numbers["fits_dose_g"] <= 22
    assert adapted.assessment.refusals == ()


def test_fresher_coffee_is_given_room():
    adapted = adapt(KELP_LIGHT, Request(gas=GasLevel.VERY_FRESH), DEMO["kelp light"][1])
    assert adapted.plan.water_g < KELP_LIGHT.water_g
    assert adapted.plan.water_g + adapted.plan.bypass_g == 640
    assert adapted.assessment.refusals == ()


def test_the_simple_layer_is_in_fives():
    adapted = adapt(OUTER_MARK, Request(dose_g=18, simple=True))
    assert all(step.target_g % 5 == 0 for step in adapted.plan.steps[:3])


@pytest.mark.parametrize(
    ("argument", "bad"),
    [
        ("dose_g", Request(dose_g=math.nan)),
        ("dose_g", Request(dose_g=3000)),
        ("cup_g", Request(cup_g=-1)),
        ("altitude_m", Request(altitude_m=9000)),
        ("boiling_c", Request(boiling_c=120)),
        ("boiling_c", Request(boiling_c=math.nan)),
        ("alkalinity_mg_l", Request(alkalinity_mg_l=-5)),
        ("sizes", Request(dose_g=15, fill_brewer=True)),
        ("usable_ml", Request(brewer=replace(MAST_CONE, usable_ml=math.inf))),
    ],
)
def test_nonsense_is_refused_by_name(argument, bad):
    with pytest.raises(OutOfRange) as refused:
        adapt(OUTER_MARK, bad)
    assert refused.value.argument == argument


def test_unknown_codes_are_refused():
    with pytest.raises(KeyError):
        Change("mood", 1, 2, "", "scaled", Confidence.EXACT)
    with pytest.raises(KeyError):
        Change("dose_g", 1, 2, "g", "because", Confidence.EXACT)
    with pytest.raises(KeyError):
        Unmet("nothing_to_wear")
