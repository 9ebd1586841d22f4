"""Which version counts, now and then."""

from __future__ import annotations

import datetime

import pytest
from django.utils import timezone

from guides.lifecycle.assign import assign, hold
from guides.lifecycle.draft import open_next
from guides.lifecycle.withdraw import withdraw
from guides.models import Assignment, GuideVersion, User
from guides.queries import versions
from tests.factories import GuideVersionFactory, LotFactory, published

pytestmark = pytest.mark.django_db


@pytest.fixture
def second(printed: GuideVersion, roaster: User) -> GuideVersion:
    return published(open_next(printed.guide, by=roaster))


@pytest.fixture
def assignment(printed: GuideVersion, roaster: User) -> Assignment:
    return assign(LotFactory(coffee=printed.guide.coffee), printed.guide, by=roaster)


def test_the_newest_published_one_is_current(printed: GuideVersion, second: GuideVersion, publisher: User) -> None:
    GuideVersionFactory(guide=printed.guide)
    assert versions.current(printed.guide) == second
    withdraw(second, by=publisher, reason="Old.")
    assert versions.current(printed.guide) == printed
    withdraw(printed, by=publisher, reason="Old.")
    assert versions.current(printed.guide) is None


def test_what_was_current_then(printed: GuideVersion, second: GuideVersion, publisher: User) -> None:
    moment = datetime.timedelta(microseconds=1)
    assert versions.current(printed.guide, at=printed.published_at - moment) is None
    assert versions.current(printed.guide, at=printed.published_at) == printed
    assert versions.current(printed.guide, at=second.published_at - moment) == printed
    gone = withdraw(second, by=publisher, reason="Old.")
    assert versions.current(printed.guide, at=gone.withdrawn_at - moment) == second
    assert versions.current(printed.guide, at=timezone.now()) == printed


def test_the_open_draft(printed: GuideVersion, roaster: User) -> None:
    assert versions.open_draft(printed.guide) is None
    draft = open_next(printed.guide, by=roaster)
    assert versions.open_draft(printed.guide) == draft


def test_a_printed_revision_is_found_whatever_became_of_it(printed: GuideVersion, publisher: User) -> None:
    withdraw(printed, by=publisher, reason="Old.")
    assert versions.printed(printed.guide.number, 1) == printed
    assert versions.printed(printed.guide.number, 2) is None


def test_a_draft_has_no_printed_revision(draft: GuideVersion) -> None:
    assert versions.printed(draft.guide.number, 1) is None
    assert list(versions.history(draft.guide)) == []


def test_a_lot_shows_the_newest(assignment: Assignment, second: GuideVersion) -> None:
    assert versions.shown_for(assignment) == second


def test_a_pinned_lot_stays(assignment: Assignment, printed: GuideVersion, second: GuideVersion, roaster: User) -> None:
    assert versions.shown_for(assign(assignment.lot, printed.guide, by=roaster, pinned=printed)) == printed


def test_a_held_guide_is_not_shown(assignment: Assignment, roaster: User) -> None:
    assert versions.shown_for(hold(assignment, by=roaster, reason="Drains late.")) is None


def test_a_withdrawn_guide_shows_its_last(assignment: Assignment, printed: GuideVersion, publisher: User) -> None:
    withdraw(printed, by=publisher, reason="Old.")
    assert versions.shown_for(assignment) == printed


def test_a_guide_never_published_shows_nothing(draft: GuideVersion, roaster: User) -> None:
    assert versions.shown_for(assign(LotFactory(coffee=draft.guide.coffee), draft.guide, by=roaster)) is None
