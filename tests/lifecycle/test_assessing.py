"""What a prediction for a version rests on: place, gas on the first good day, and trial brews."""

from __future__ import annotations

import datetime

import pytest
from django.utils import timezone

from guides.calculations.drawdown import simulate
from guides.calculations.freshness import GasLevel
from guides.lifecycle.assessing import assess_version, conditions_for, gas_when_first_good
from guides.lifecycle.assign import assign
from guides.lifecycle.brewed_plan import brewed_plan
from guides.lifecycle.plan_of import plan_of, targets_of
from guides.models import GuideVersion, Roastery, User
from guides.queries import versions
from tests.factories import (
    CoffeeFactory,
    JarBrewerFactory,
    LotFactory,
    TrialBrewFactory,
    ValveVersionFactory,
    published,
)

pytestmark = pytest.mark.django_db


def test_the_plan_is_the_rows_in_order() -> None:
    plan = plan_of(ValveVersionFactory())
    assert (plan.dose_g, plan.water_g, plan.bypass_g, plan.bypass_to_taste) == (15, 180, 60, True)
    assert [step.action.value for step in plan.steps] == ["pour", "pour", "stir", "open", "pour", "add_bypass"]
    assert plan.steps[-1].anchor.value == "drained"
    assert plan.steps[0].path is not None
    assert (plan.steps[0].height, plan.steps[0].turns) == (None, None)
    assert (plan.brewer.flow.value, plan.brewer.usable_ml, plan.valve_shut_at_start) == ("valve", 240, True)


def test_percentages_become_fractions(draft: GuideVersion) -> None:
    GuideVersion.objects.update(strength_low_percent="1.25", strength_high_percent="1.35", extraction_percent="21.0")
    targets = targets_of(versions.by_id(draft.pk))
    assert (targets.strength_low, targets.strength_high, targets.extraction) == (0.0125, 0.0135, 0.21)


@pytest.mark.parametrize(
    ("level", "seen", "gas_on", "own", "first_good"),
    [
        # Own default of the calculation room: one step down in ten days. Light rests 10 days, medium-dark 5, dark 4.
        ("light", "lively", None, None, "lively"),  # seen on day 7, drunk from day 10
        ("medium_dark", "very_fresh", None, None, "very_fresh"),  # drunk from day 5, before it was seen
        ("light", "very_fresh", 0, None, "lively"),  # seen on the day of roasting, drunk from day 10
        ("light", "very_fresh", 0, (25, 40), "rested"),  # the lot's own window begins on day 25
    ],
)
def test_gas_is_that_of_the_first_good_day(
    level: str, seen: str, gas_on: int | None, own: tuple[int, int] | None, first_good: str
) -> None:
    lot = LotFactory(coffee=CoffeeFactory(roast_level=level), gas=seen)
    lot.gas_on = None if gas_on is None else lot.roasted_on + datetime.timedelta(days=gas_on)
    lot.rest_days, lot.best_days = own or (None, None)
    assert gas_when_first_good(lot) is GasLevel(first_good)


def test_without_a_lot_the_middle_is_taken(draft: GuideVersion) -> None:
    assert conditions_for(draft).gas is GasLevel.LIVELY


def test_the_guides_own_newest_lot_counts(printed: GuideVersion, roaster: User) -> None:
    today = timezone.localdate()
    coffee = printed.guide.coffee
    own = LotFactory(coffee=coffee, gas="very_fresh", gas_on=today, roasted_on=today - datetime.timedelta(days=10))
    LotFactory(coffee=coffee, gas="rested", roasted_on=today)
    assert conditions_for(printed).gas is GasLevel.RESTED
    assign(own, printed.guide, by=roaster)
    assert conditions_for(printed).gas is GasLevel.VERY_FRESH
    assert conditions_for(printed, LotFactory(coffee=coffee, gas="lively")).gas is GasLevel.LIVELY


def test_altitude_is_the_roasterys(draft: GuideVersion) -> None:
    assert conditions_for(draft).altitude_m == 0
    Roastery.objects.create(name="Mossgull Roasting Room", altitude_m=1480)
    assert conditions_for(draft).altitude_m == 1480


def test_a_brew_teaches_the_factor_it_was_brewed_with(printed: GuideVersion) -> None:
    """A brew simulated at 0.8 and logged to the second gives 0.8 back."""
    drained = simulate(plan_of(printed), flow_factor=0.8).drained_s
    TrialBrewFactory(of=printed, drained_s=round(drained))
    [factor] = conditions_for(printed).trial_flow_factors
    assert factor == pytest.approx(0.8, rel=0.01)


def test_the_brew_counts_as_it_was_brewed(printed: GuideVersion) -> None:
    """Another dose, another kettle, another grind: the plan is scaled and changed before it is learnt from."""
    brew = TrialBrewFactory(of=printed, dose_g=18, water_g=297, kettle_c=93, grind_um=700, drained_s=200)
    plan = brewed_plan(brew)
    assert (plan.dose_g, plan.water_g, plan.kettle_c, plan.grind_um) == (18, 297, 93, 700)
    assert plan.steps[3].target_g == pytest.approx(297)
    assert plan.steps[0].target_g == pytest.approx(48 * 297 / 264)


def test_a_valve_opened_late_is_taken_into_account() -> None:
    version = published(ValveVersionFactory())
    brew = TrialBrewFactory(of=version, opened_s=95)
    opening = next(step for step in brewed_plan(brew).steps if step.action == "open")
    assert (opening.start_s, opening.end_s) == (95, 95)


def test_windows_narrow_as_trials_accrue(printed: GuideVersion) -> None:
    before = assess_version(printed).drained
    for _trial in range(3):
        TrialBrewFactory(of=printed, drained_s=round(before.likely))
    after = assess_version(printed).drained
    assert (before.trials, after.trials) == (0, 3)
    assert after.high - after.low < before.high - before.low


def test_only_brews_of_this_coffee_in_this_brewer_up_to_the_moment(printed: GuideVersion) -> None:
    yesterday = timezone.now() - datetime.timedelta(days=1)
    TrialBrewFactory(of=printed, drained_s=180)
    TrialBrewFactory(of=published(), drained_s=180)
    TrialBrewFactory(of=printed, drained_s=180, brewer=JarBrewerFactory())
    TrialBrewFactory(of=printed, drained_s=180, lot=LotFactory())
    known, before = conditions_for(printed), conditions_for(printed, at=yesterday)
    assert len(known.trial_flow_factors) + len(known.other_lots_flow_factors) == 1
    assert before.trial_flow_factors == before.other_lots_flow_factors == ()


def test_what_cannot_be_right_teaches_nothing(printed: GuideVersion) -> None:
    """A slip of the pen must not stop every later guide from being published."""
    TrialBrewFactory(of=printed, drained_s=9)
    TrialBrewFactory(of=printed, drained_s=9000)
    TrialBrewFactory(of=printed, cup_g=300)
    TrialBrewFactory(of=printed, cup_g=30)
    TrialBrewFactory(of=printed)
    TrialBrewFactory(lot=LotFactory(coffee=printed.guide.coffee), brewer=printed.brewer, drained_s=180)
    conditions = conditions_for(printed)
    learnt = (conditions.trial_flow_factors, conditions.other_lots_flow_factors, conditions.trial_retentions)
    assert learnt == ((), (), ())
    assert assess_version(printed).drained is not None


def test_retention_is_of_what_ran_out_before_water_was_added() -> None:
    """15 g, 180 g through, 60 g added, 208.5 g in the cup: (180 − 148.5)/15 = 2.1 g/g."""
    version = published(ValveVersionFactory())
    TrialBrewFactory(of=version, bypass_g=60, cup_g="208.5")
    assert conditions_for(version).trial_retentions == (pytest.approx(2.1),)


@pytest.mark.data
def test_assessing_takes_few_queries_whatever_the_number_of_trials(
    printed: GuideVersion, django_assert_max_num_queries: object
) -> None:
    for _trial in range(6):
        TrialBrewFactory(of=printed, drained_s=190, cup_g=230)
    version = versions.by_id(printed.pk)
    assess_version(version)  # what the brews teach is worked out once, and kept
    with django_assert_max_num_queries(6):  # type: ignore[operator]
        assess_version(version)
