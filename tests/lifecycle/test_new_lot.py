"""A new lot: the guide is inherited, or held and adjusted by a suggestion that brings the drained time back."""

from __future__ import annotations

from dataclasses import replace

import pytest

from guides.calculations.drawdown import simulate
from guides.choices import Follow
from guides.lifecycle import new_lot, snapshot
from guides.lifecycle.assign import assign
from guides.lifecycle.draft import open_next
from guides.lifecycle.plan_of import plan_of
from guides.models import Assignment, Event, GuideVersion, Lot, TrialBrew, User
from guides.queries import misfits
from tests.factories import LotFactory, TrialBrewFactory, UserFactory, published

from .conftest import refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def printed() -> GuideVersion:
    return GuideVersion.objects.get(pk=published().pk)


@pytest.fixture
def lot(printed: GuideVersion) -> Lot:
    return LotFactory(coffee=printed.guide.coffee)


def brewed(version: GuideVersion, lot: Lot, drained_s: float) -> TrialBrew:
    return TrialBrewFactory(of=version, lot=lot, drained_s=round(drained_s), is_check_brew=True)


def window(version: GuideVersion):
    return snapshot.read(version).assessment.drained


def test_inside_the_window_the_lot_inherits(printed: GuideVersion, lot: Lot, roaster: User) -> None:
    brew = brewed(printed, lot, window(printed).high)
    found = new_lot.verdict(brew)
    assert (found.inside, found.late_s, found.is_shown) == (True, 0, False)  # type: ignore[union-attr]
    assert new_lot.inherit(brew, by=roaster).follow == Follow.NEWEST
    assert new_lot.verdict(brew).is_shown  # type: ignore[union-attr]
    with refused("let the lot inherit"):
        new_lot.hold_and_adjust(brew, by=roaster)


def test_outside_it_is_held_and_the_draft_has_a_grind_that_brings_it_back(
    printed: GuideVersion, lot: Lot, roaster: User
) -> None:
    """The judge is the simulation at the lot's own factor, which nobody told the suggestion."""
    assign(lot, printed.guide, by=roaster)
    drained_s = simulate(plan_of(printed), flow_factor=0.65).drained_s
    brew = brewed(printed, lot, drained_s)
    assert new_lot.verdict(brew).late_s == round(drained_s) - window(printed).high  # type: ignore[union-attr]
    draft = new_lot.hold_and_adjust(brew, by=roaster)
    held = Assignment.objects.get(lot=lot, guide=printed.guide)
    assert (held.follow, held.held_reason) == (Follow.HELD, "Drains later than the guide's window.")
    assert draft.grind_um > printed.grind_um
    assert draft.change_note == f"Ground coarser: lot {lot.name} drains slower."
    back_s = simulate(replace(plan_of(printed), grind_um=float(draft.grind_um)), flow_factor=0.65).drained_s
    assert window(printed).likely <= back_s <= window(printed).high < drained_s
    assert Event.objects.get(version_id=draft.pk).details == {"based_on": 1, "trial": brew.pk}
    assert draft.dose_g == printed.dose_g


def test_too_soon_asks_for_a_finer_grind(printed: GuideVersion, lot: Lot, roaster: User) -> None:
    brew = brewed(printed, lot, simulate(plan_of(printed), flow_factor=2.0).drained_s)
    draft = new_lot.hold_and_adjust(brew, by=roaster)
    assert draft.grind_um < printed.grind_um
    assert Assignment.objects.get(lot=lot).follow == Follow.HELD


def test_a_time_that_no_grind_mends_is_held_without_a_suggestion(
    printed: GuideVersion, lot: Lot, roaster: User
) -> None:
    brew = brewed(printed, lot, 3000)
    assert new_lot.suggestion(brew, new_lot.verdict(brew)) is None  # type: ignore[arg-type]
    assert new_lot.hold_and_adjust(brew, by=roaster).grind_um == printed.grind_um


def test_an_open_draft_is_left_as_it_is(printed: GuideVersion, lot: Lot, roaster: User) -> None:
    waiting = open_next(printed.guide, by=UserFactory(role="roaster"))
    assert new_lot.hold_and_adjust(brewed(printed, lot, 400), by=roaster).pk == waiting.pk
    waiting.refresh_from_db()
    assert waiting.grind_um == printed.grind_um
    assert Assignment.objects.get(lot=lot).follow == Follow.HELD


@pytest.mark.parametrize("otherwise", [{"grind_um": 700}, {"dose_g": "17"}, {"drained_s": None}, {"version": None}])
def test_only_a_brew_as_the_guide_is_written_is_judged(
    printed: GuideVersion, lot: Lot, roaster: User, otherwise: dict[str, object]
) -> None:
    brew = TrialBrewFactory(of=printed, lot=lot, **{"drained_s": 400, **otherwise})
    assert new_lot.verdict(TrialBrew.objects.get(pk=brew.pk)) is None
    with refused("as it is written"):
        new_lot.inherit(brew, by=roaster)


def test_it_can_be_kept_all_the_same_for_a_reason_that_stays(printed: GuideVersion, lot: Lot, roaster: User) -> None:
    late = brewed(printed, lot, window(printed).high + 20)
    with refused("say why", field="reason"):
        new_lot.keep(late, by=roaster, reason=" ")
    assert new_lot.keep(late, by=roaster, reason=" Nobody could tell them apart. ").follow == Follow.NEWEST
    event = misfits.kept(late)
    assert event is not None
    assert (event.reason, event.by, event.version_id) == ("Nobody could tell them apart.", roaster, printed.pk)
    with refused("inside the guide's window"):
        new_lot.keep(brewed(printed, lot, window(printed).high), by=roaster, reason="Why not.")


def test_what_is_pinned_stays_so_when_it_is_kept(printed: GuideVersion, lot: Lot, roaster: User) -> None:
    assign(lot, printed.guide, by=roaster, pinned=printed)
    kept = new_lot.keep(brewed(printed, lot, 400), by=roaster, reason="Tasted alike.")
    assert (kept.follow, kept.pinned) == (Follow.PINNED, printed)


def test_refusals(printed: GuideVersion, lot: Lot, roaster: User, packer: User) -> None:
    late = brewed(printed, lot, 400)
    with refused("outside the guide's window"):
        new_lot.inherit(late, by=roaster)
    with refused("may not choose the guides of a lot"):
        new_lot.hold_and_adjust(late, by=packer)
    assert not Assignment.objects.exists()
    published(open_next(printed.guide, by=UserFactory(role="roaster")))
    with refused("not the guide's newest revision"):
        new_lot.hold_and_adjust(late, by=roaster)
