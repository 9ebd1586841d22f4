"""Many publishers at once, in threads with connections of their own: every one is served, and told if too late."""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import DatabaseError, connection, connections, transaction
from django.db.models import QuerySet

from guides.choices import State
from guides.lifecycle.draft import open_next
from guides.lifecycle.errors import Refused
from guides.lifecycle.publish import publish
from guides.lifecycle.review import submit
from guides.models import Event, Guide, GuideVersion, User
from guides.models.base import FrozenRow
from tests.factories import UserFactory, published

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.data]

THREADS, ROUNDS = (20, 10) if os.environ.get("FULL_COUNTS") == "1" else (8, 4)
WAIVER = "Brewed it at the bench this morning."


@pytest.fixture
def guide() -> Guide:
    return published().guide


@pytest.fixture
def publishers() -> list[User]:
    return [UserFactory(role="publisher") for _thread in range(THREADS)]


def together(publishers: list[User], act: Callable[[User], None], rounds: int) -> list[Exception]:
    """Everybody starts at the same moment and acts so many times; give what went wrong."""
    start = threading.Barrier(len(publishers))

    def work(by: User) -> Iterator[Exception]:
        start.wait()
        for _round in range(rounds):
            try:
                act(by)
            except (DatabaseError, FrozenRow, Refused) as error:
                yield error

    def worker(by: User) -> list[Exception]:
        try:
            return list(work(by))
        finally:
            connections.close_all()

    with ThreadPoolExecutor(len(publishers)) as pool:
        return [error for errors in pool.map(worker, publishers) for error in errors]


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
    """The negative control: no row lock on PostgreSQL, no IMMEDIATE on SQLite.

    Nothing wrong is printed even so, for the one-draft index and the guards of frozen rows still stand; but people
    run into those guards where they should read that somebody was quicker.
    """
    monkeypatch.setattr(QuerySet, "select_for_update", lambda self, **_options: self)
    if connection.vendor == "sqlite":
        monkeypatch.setitem(connections.settings["default"]["OPTIONS"], "transaction_mode", "DEFERRED")
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
