"""A chosen trial brew becomes a draft that could be published, and nothing is typed again."""

from __future__ import annotations

from decimal import Decimal

import pytest

from guides.choices import State
from guides.lifecycle import content, review
from guides.lifecycle.draft import open_next
from guides.lifecycle.from_trial import open_from_trial
from guides.models import Event, GuideVersion, StepText, User, VersionText
from tests.factories import (
    BrewerFactory,
    GuideFactory,
    GuideVersionFactory,
    LotFactory,
    TrialBrewFactory,
    ValveVersionFactory,
    published,
)

from .conftest import refused, verbs

pytestmark = pytest.mark.django_db


@pytest.mark.data
def test_its_numbers_and_opening_become_the_plan_and_words_come_along(roaster: User) -> None:
    source = ValveVersionFactory(why="Shut at first.")
    VersionText.objects.create(version=source, language="sv", title="Titel", why="Därför.")
    StepText.objects.create(step=source.steps.first(), language="sv", simple="Fukta allt.")
    source = published(source)
    brew = TrialBrewFactory(
        of=source, dose_g="15.2", water_g="171.5", bypass_g="50", kettle_c="93.5", grind_um=760, opened_s=85
    )
    draft = open_from_trial(brew, by=roaster)
    assert (draft.state, draft.guide, draft.created_by) == (State.DRAFT, source.guide, roaster)
    taken = ("dose_g", "water_g", "bypass_g", "kettle_c", "grind_um")
    assert [getattr(draft, name) for name in taken] == [Decimal(x) for x in ("15.2", "171.5", "50", "93.5", "760")]
    steps = [(step.action, step.start_s, step.target_g) for step in draft.steps.all()]
    # 60, 120 and 180 g of 180 g, scaled to 171.5 g; the pour after the opening keeps its 10 s.
    assert steps == [
        ("pour", 0, Decimal(57)), ("pour", 40, Decimal(114)), ("stir", 65, None), ("open", 85, None),
        ("pour", 95, Decimal("171.5")), ("add_bypass", 0, Decimal("221.5")),
    ]  # fmt: skip
    assert content.refusals(draft) == []
    assert draft.why == "Shut at first."
    assert draft.texts.get().title == "Titel"
    assert StepText.objects.get(step__version=draft).simple == "Fukta allt."
    assert Event.objects.get(version_id=draft.pk).details == {"based_on": 1, "trial": brew.pk}


def test_what_was_printed_stays(roaster: User) -> None:
    source = published()
    before = (GuideVersion.objects.filter(pk=source.pk).values().get(), list(source.steps.values()))
    open_from_trial(TrialBrewFactory(of=source, water_g="250"), by=roaster)
    assert (GuideVersion.objects.filter(pk=source.pk).values().get(), list(source.steps.values())) == before


def test_a_brew_of_the_open_draft_brings_that_draft_to_its_numbers(roaster: User) -> None:
    draft = GuideVersionFactory()
    brew = TrialBrewFactory(of=draft, dose_g="17", water_g="272", grind_um=700)
    same = open_from_trial(brew, by=roaster)
    assert same.pk == draft.pk
    assert (same.dose_g, same.water_g, same.grind_um, same.edit_number) == (17, 272, 700, 1)
    assert content.refusals(same) == []
    assert verbs(same) == ["opened_draft"]


def test_without_a_plan_followed_the_guides_newest_is_taken(roaster: User) -> None:
    newest = published()
    lot = LotFactory(coffee=newest.guide.coffee)
    brew = TrialBrewFactory(lot=lot, version=None, brewer=newest.brewer, dose_g="16", water_g="256")
    draft = open_from_trial(brew, by=roaster, guide=newest.guide)
    assert [step.target_g for step in draft.steps.all()][:4] == [47, 116, 186, 256]
    assert content.refusals(draft) == []


def test_no_water_in_the_cup_leaves_no_step_for_it(roaster: User) -> None:
    brew = TrialBrewFactory(of=published(ValveVersionFactory()), bypass_g="0")
    draft = open_from_trial(brew, by=roaster)
    assert (draft.bypass_g, draft.bypass_to_taste) == (0, False)
    assert [(step.position, step.action) for step in draft.steps.all()][-1] == (5, "pour")
    assert content.refusals(draft) == []


def test_refusals(roaster: User, packer: User) -> None:
    source = published()
    brew = TrialBrewFactory(of=source)
    with refused("may not write guides"):
        open_from_trial(brew, by=packer)
    with refused("there is no plan to put these numbers into", "guide"):
        open_from_trial(TrialBrewFactory(), by=roaster)
    with refused("there is no plan to put these numbers into", "guide"):
        open_from_trial(TrialBrewFactory(), by=roaster, guide=GuideFactory())
    other = open_next(source.guide, by=roaster)
    with refused("it has an open draft already", "guide"):
        open_from_trial(brew, by=roaster)
    review.submit(other, by=roaster)
    with refused("it has an open draft already", "guide"):
        open_from_trial(TrialBrewFactory(of=other), by=roaster)
    assert GuideVersion.objects.filter(guide=source.guide).count() == 2


def test_a_brew_in_another_brewer_takes_that_brewer(roaster: User) -> None:
    source, other = published(), BrewerFactory()
    assert open_from_trial(TrialBrewFactory(of=source, brewer=other), by=roaster).brewer == other
