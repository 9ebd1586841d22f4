"""Which guides a lot shows."""

from __future__ import annotations

import pytest

from guides.choices import Follow
from guides.lifecycle.assign import assign, hold, release
from guides.lifecycle.recall import recall
from guides.models import Assignment, Event, GuideVersion, Lot, User
from tests.factories import GuideVersionFactory, LotFactory, published

from .conftest import refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def lot(printed: GuideVersion) -> Lot:
    return LotFactory(coffee=printed.guide.coffee)


def test_follows_the_newest_or_stays_on_one(lot: Lot, printed: GuideVersion, roaster: User) -> None:
    following = assign(lot, printed.guide, by=roaster)
    assert (following.follow, following.pinned) == (Follow.NEWEST, None)
    pinned = assign(lot, printed.guide, by=roaster, pinned=printed)
    assert (pinned.pk, pinned.follow, pinned.pinned) == (following.pk, Follow.PINNED, printed)
    assert Assignment.objects.count() == 1
    assert Event.objects.filter(lot=lot, verb="assigned").count() == 2


def test_held_with_a_reason_and_released(lot: Lot, printed: GuideVersion, roaster: User) -> None:
    assignment = assign(lot, printed.guide, by=roaster, pinned=printed)
    with refused("Reason: say why", "held_reason"):
        hold(assignment, by=roaster, reason="")
    held = hold(assignment, by=roaster, reason="Drains late.")
    assert (held.follow, held.pinned, held.held_reason) == (Follow.HELD, None, "Drains late.")
    free = release(held, by=roaster)
    assert (free.follow, free.held_reason) == (Follow.NEWEST, "")
    with refused("is not held", "follow"):
        release(free, by=roaster)


def test_only_guides_of_its_own_coffee(printed: GuideVersion, roaster: User) -> None:
    with refused(f"it is for {printed.guide.coffee}, and lot", "guide"):
        assign(LotFactory(), printed.guide, by=roaster)


def test_only_a_published_revision_of_this_guide_is_pinned(lot: Lot, printed: GuideVersion, roaster: User) -> None:
    draft = GuideVersionFactory(guide=printed.guide)
    for wrong in (draft, published()):
        with refused("choose a published revision of this guide", "pinned"):
            assign(lot, printed.guide, by=roaster, pinned=wrong)


def test_a_recalled_lot_gets_no_guide(lot: Lot, printed: GuideVersion, roaster: User, publisher: User) -> None:
    assert assign(lot, printed.guide, by=roaster)
    with refused("it is recalled", "lot"):
        assign(recall(lot, by=publisher, reason="A screw."), printed.guide, by=roaster)
