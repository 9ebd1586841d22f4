"""Many publishers at once, in threads with connections of their own: every one is served, and told if too late."""

from __future__ import annotations

import time
from collections.abc import Callable

import pytest
from django.db import connection, transaction

from guides.choices import State
from guides.lifecycle.draft import open_next
from guides.lifecycle.errors import Refused
from guides.lifecycle.publish import publish
from guides.lifecycle.review import submit
from guides.models import Event, Guide, GuideVersion, User
from tests.factories import UserFactory, published

from .crowd import ROUNDS, THREADS, take_the_lock_off, together

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.data]

WAIVER = "Brewed it at the bench this morning."


@pytest.fixture
def guide() -> Guide:
    return published().guide


@pytest.fixture
def publishers() -> list[User]:
    return [UserFactory(role="publisher") for _thread in range(THREADS)]


def revise(guide: Guide) -> Callable[[User], None]:
    """Write, submit and publish the next revision in one breath."""

    def act(by: User) -> None:
        with transaction.atomic():
            draft = open_next(guide, by=by)
            publish(submit(draft, by=by), by=by, waiver_reason=WAIVER)

    return act


def test_every_revision_is_published_and_numbered_without_gaps(guide: Guide, publishers: list[User]) -> None:
    began = time.perf_counter()
    errors = together(publishers, revise(guide), ROUNDS)
    wanted = THREADS * ROUNDS
    took = time.perf_counter() - began
    print(f"{connection.vendor}: {wanted - len(errors)}/{wanted} published by {THREADS} at once in {took:.1f} s")
    assert errors == []
    revisions = guide.versions.order_by("revision").values_list("revision", flat=True)
    assert list(revisions) == list(range(1, wanted + 2))
    assert Event.objects.filter(guide=guide, verb="published").count() == wanted + 1


def test_one_version_is_published_once(guide: Guide, publishers: list[User]) -> None:
    draft, errors = all_at_one(guide, publishers)
    assert [type(error) for error in errors] == [Refused] * (THREADS - 1)
    assert all("This version is published" in str(error) for error in errors)
    assert (draft.state, draft.revision) == (State.PUBLISHED, 2)


def test_without_the_lock_they_get_into_each_others_way(
    guide: Guide, publishers: list[User], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The negative control.

    Nothing wrong is printed even so, for the one-draft index and the guards of frozen rows still stand; but people
    run into those guards where they should read that somebody was quicker.
    """
    take_the_lock_off(monkeypatch)
    _draft, errors = all_at_one(guide, publishers)
    broken = [error for error in errors if not isinstance(error, Refused)]
    print(f"{connection.vendor}, lock off: {len(broken)} of {THREADS} were not told who was quicker")
    assert broken


def all_at_one(guide: Guide, publishers: list[User]) -> tuple[GuideVersion, list[Exception]]:
    """Everybody publishes the same version."""
    draft = open_next(guide, by=publishers[0])
    submit(draft, by=publishers[0])

    def act(by: User) -> None:
        publish(GuideVersion.objects.get(pk=draft.pk), by=by, waiver_reason=WAIVER)

    errors = together(publishers, act, 1)
    draft.refresh_from_db()
    return draft, errors
