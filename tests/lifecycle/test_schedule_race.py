"""The time comes while people press the button: workers and publishers at once make one revision of it."""

from __future__ import annotations

import datetime

import pytest
from django.db import connection
from django.utils import timezone

from guides.choices import State
from guides.lifecycle.approve import approve
from guides.lifecycle.draft import open_next
from guides.lifecycle.errors import Refused
from guides.lifecycle.publish import publish
from guides.lifecycle.review import submit
from guides.lifecycle.schedule import publish_due, schedule
from guides.models import Event, Guide, GuideVersion, User
from tests.factories import UserFactory, published

from .crowd import ROUNDS, THREADS, take_the_lock_off, together

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.data]


@pytest.fixture
def guide() -> Guide:
    return published().guide


@pytest.fixture
def crowd() -> list[User]:
    return [UserFactory(role="publisher") for _thread in range(THREADS)]


class Race:
    """One version that is set for a time; every other one of the crowd is a worker, the rest publish by hand."""

    def __init__(self, guide: Guide, crowd: list[User]) -> None:
        self.time = timezone.now() + datetime.timedelta(hours=1)
        draft = submit(open_next(guide, by=crowd[0]), by=crowd[0])
        approve(draft, by=crowd[1], waiver_reason="Brewed it at the bench this morning.")
        self.version = schedule(draft, by=crowd[1], publish_at=self.time)
        self.by_hand = {user.pk for user in crowd[::2]}
        self.winners: list[str] = []

    def act(self, by: User) -> None:
        if by.pk in self.by_hand:
            publish(GuideVersion.objects.get(pk=self.version.pk), by=by, at=self.time)
            self.winners.append("by hand")
        elif publish_due(self.version.pk, self.time, at=self.time):
            self.winners.append("when due")


def test_one_revision_comes_of_it_however_it_ends(guide: Guide, crowd: list[User]) -> None:
    winners: list[str] = []
    for number in range(2, ROUNDS + 2):
        race = Race(guide, crowd)
        errors = together(crowd, race.act, 1)
        race.version.refresh_from_db()
        assert len(race.winners) == 1
        assert (race.version.state, race.version.revision) == (State.PUBLISHED, number)
        assert race.version.publish_at is None
        assert all("This version is published" in str(error) for error in errors), errors
        assert {type(error) for error in errors} <= {Refused}
        winners += race.winners
    told = Event.objects.filter(guide=guide)
    assert told.filter(verb="published").count() == ROUNDS + 1
    assert not told.filter(verb="not_published").exists()
    print(f"{connection.vendor}: {ROUNDS} revisions of {ROUNDS} races of {THREADS}; won {sorted(winners)}")


def test_without_the_lock_they_get_into_each_others_way(
    guide: Guide, crowd: list[User], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The negative control: the guards of frozen rows still stand, but people and workers run into those."""
    race = Race(guide, crowd)
    take_the_lock_off(monkeypatch)
    errors = together(crowd, race.act, 1)
    broken = [error for error in errors if not isinstance(error, Refused)]
    print(f"{connection.vendor}, lock off: {len(broken)} of {THREADS} broke")
    assert broken
