"""Trial brews: logged with what was planned and foreseen, set aside and taken back."""

from __future__ import annotations

import pytest

from guides.calculations.drawdown import simulate
from guides.choices import Verb
from guides.lifecycle import brewed_plan, learning, trials
from guides.lifecycle.assessing import conditions_for
from guides.lifecycle.plan_of import plan_of
from guides.models import Event, GuideVersion, TrialBrew, User
from guides.queries import evidence
from tests.factories import GuideVersionFactory, LotFactory, TrialBrewFactory, ValveVersionFactory, published

from .conftest import refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def draft() -> GuideVersion:
    return GuideVersionFactory()


def reread(brew: TrialBrew) -> TrialBrew:
    return TrialBrew.objects.get(pk=brew.pk)


def test_a_brew_keeps_the_plan_it_was_made_from_whatever_the_draft_becomes(draft: GuideVersion, roaster: User) -> None:
    brew = trials.log(TrialBrewFactory(of=draft, drained_s=190), by=roaster)
    before, factor = brewed_plan.planned(reread(brew)), reread(brew).flow_factor
    draft.steps.filter(position=2).update(start_s=55, end_s=70)
    assert brewed_plan.planned(reread(brew)) == before
    trials.log(reread(brew), by=roaster)
    assert reread(brew).flow_factor == factor


def test_what_a_brew_teaches_is_kept_with_it_and_forgotten_when_it_is_corrected(
    draft: GuideVersion, roaster: User
) -> None:
    """A brew simulated at 0.8 and logged to the second gives 0.8 back; a corrected one another."""
    drained = round(simulate(plan_of(draft), flow_factor=0.8).drained_s or 0)
    brew = trials.log(TrialBrewFactory(of=draft, drained_s=drained), by=roaster)
    assert reread(brew).flow_factor == pytest.approx(0.8, rel=0.01)
    brew.drained_s = drained - 15
    brew.save()
    assert (reread(brew).flow_factor, reread(brew).learnt_with) == (None, "")
    learning.learnt([corrected := reread(brew)])
    assert corrected.flow_factor is not None
    assert corrected.flow_factor > 0.85
    assert reread(brew).flow_factor == corrected.flow_factor


def test_new_formulas_learn_anew(draft: GuideVersion, monkeypatch: pytest.MonkeyPatch) -> None:
    brew = TrialBrewFactory(of=draft, drained_s=190)
    learning.learnt([brew])
    TrialBrew.objects.update(flow_factor=9.0)
    assert learning.learnt([reread(brew)])[0].flow_factor == 9.0
    monkeypatch.setattr(learning, "CALCULATION_VERSION", "next")
    assert learning.learnt([reread(brew)])[0].flow_factor != 9.0


def test_what_was_foreseen_does_not_know_the_brew_itself(draft: GuideVersion, roaster: User) -> None:
    lot = LotFactory(coffee=draft.guide.coffee)
    first = trials.log(TrialBrewFactory(of=draft, lot=lot, drained_s=190), by=roaster)
    second = trials.log(TrialBrewFactory(of=draft, lot=lot, drained_s=240), by=roaster)
    corrected = trials.log(first, by=roaster)
    assert [trials.predicted(brew).drained.trials for brew in (first, second, corrected)] == [0, 1, 0]  # type: ignore[union-attr]


def test_pours_as_they_were_are_what_is_learnt_from(roaster: User) -> None:
    draft = ValveVersionFactory()
    brew = TrialBrewFactory(of=draft, pours=[[0, 15, 62], [41, 60, 121], [90, 112, 180]], opened_s=80, drained_s=150)
    plan = brewed_plan.brewed_plan(brew)
    poured = [(step.start_s, step.end_s, step.target_g) for step in plan.steps if step.action == "pour"]
    assert poured == [(0, 15, 62), (41, 60, 121), (90, 112, 180)]
    assert [step.start_s for step in plan.steps if step.action == "open"] == [80]


def test_a_brew_that_followed_no_plan_teaches_by_its_pours(draft: GuideVersion, roaster: User) -> None:
    """The same pours as the plan's teach the same."""
    planned = TrialBrewFactory(of=draft, drained_s=190)
    pours = [[0, 10, 48], [45, 60, 120], [75, 90, 192], [105, 120, 264]]
    free = TrialBrewFactory(lot=planned.lot, brewer=draft.brewer, drained_s=190, pours=pours)
    silent = TrialBrewFactory(lot=planned.lot, brewer=draft.brewer, drained_s=190)
    learning.learnt([planned, free, silent])
    assert free.flow_factor == pytest.approx(planned.flow_factor, rel=1e-3)
    assert silent.flow_factor is None
    assert trials.log(silent, by=roaster).predicted is None


def test_set_aside_teaches_nothing_and_taken_back_teaches_again(draft: GuideVersion, roaster: User) -> None:
    brew = trials.log(TrialBrewFactory(of=draft, drained_s=320), by=roaster)
    conditions = conditions_for(draft)
    trials.set_aside(brew, by=roaster, reason=" The paper had folded. ")
    assert conditions_for(draft).trial_flow_factors == ()
    assert brew in evidence.of_pair(draft.guide.coffee_id, draft.brewer_id)
    trials.take_back(brew, by=roaster)
    assert conditions_for(draft) == conditions
    told = Event.objects.filter(verb__in=(Verb.SET_ASIDE, Verb.TOOK_BACK)).order_by("pk")
    assert [(event.reason, event.details) for event in told] == [
        ("The paper had folded.", {"trial": brew.pk}), ("", {"trial": brew.pk}),
    ]  # fmt: skip


def test_refusals(draft: GuideVersion, roaster: User, packer: User) -> None:
    brew = TrialBrewFactory(of=draft)
    with refused("may not log trial brews"):
        trials.log(brew, by=packer)
    with refused("may not set trial brews aside"):
        trials.set_aside(brew, by=packer, reason="No.")
    with refused("say why", "reason"):
        trials.set_aside(brew, by=roaster, reason=" ")
    with refused("counts already"):
        trials.take_back(brew, by=roaster)
    trials.set_aside(brew, by=roaster, reason="The paper folded.")
    with refused("set aside already"):
        trials.set_aside(brew, by=roaster, reason="Again.")
    with refused("may not let trial brews count again"):
        trials.take_back(brew, by=packer)


def test_lots_are_told_apart() -> None:
    """Brews of the lot at hand weigh more than those of another."""
    version = published()
    old, new = (LotFactory(coffee=version.guide.coffee) for _ in range(2))
    for _ in range(3):
        TrialBrewFactory(of=version, lot=old, drained_s=190)
    TrialBrewFactory(of=version, lot=new, drained_s=230)
    known_old, known_new = conditions_for(version, old), conditions_for(version, new)
    assert (len(known_old.trial_flow_factors), [*map(len, known_old.other_lots_flow_factors)]) == (3, [1])
    assert known_new.trial_flow_factors == known_old.other_lots_flow_factors[0]
