"""Many hands on one draft at the same moment: one save wins, every other is told."""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from django.db import connection, connections
from django.test import Client

from guides.admin import conflicts
from tests.factories import UserFactory

from .addresses import act, change

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.data]

_HANDS = 8
_WRITERS, _ROUNDS = (8, 10) if os.environ.get("FULL_COUNTS") == "1" else (4, 2)


def _at_once(tries) -> list[int]:
    """Run every try in a thread of its own, all let go at one moment; give their status codes."""
    gate = Barrier(len(tries))

    def run(attempt) -> int:
        try:
            gate.wait(timeout=120)
            return attempt()
        finally:
            connections.close_all()

    with ThreadPoolExecutor(len(tries)) as pool:
        return list(pool.map(run, tries))


def _desk(role: str = "roaster") -> Client:
    client = Client()
    client.force_login(UserFactory(role=role))
    return client


@pytest.fixture
def saves(draft, filled):
    """Posts of the same opened draft by eight people, each with a title of their own."""
    desks = [_desk() for _ in range(_HANDS)]
    fields = filled(desks[0], change(draft))
    return [
        lambda desk=desk, number=number: desk.post(change(draft), fields | {"title": f"By {number}"}).status_code
        for number, desk in enumerate(desks)
    ]


def test_of_eight_saves_one_wins_and_seven_are_told(draft, saves):
    assert sorted(_at_once(saves)) == [200] * (_HANDS - 1) + [302]
    draft.refresh_from_db()
    assert draft.edit_number == 1


def test_without_the_number_all_eight_would_overwrite_each_other(draft, saves, monkeypatch):
    """Negative control."""
    monkeypatch.setattr(conflicts.TokenForm, "_refuse_overwriting", lambda self: None)
    assert _at_once(saves) == [302] * _HANDS


def test_a_save_and_a_submission_never_both_win_unseen(draft, saves):
    """Either the save came first and the submitter reads again, or the draft is locked and the words come back."""
    writer = Client()
    writer.force_login(draft.created_by)
    submission = lambda: writer.post(act(draft, "submit"), {"seen": "0"}).status_code  # noqa: E731
    saved, submitted = _at_once([saves[0], submission])
    assert (saved, submitted) in {(302, 409), (409, 302)}


def _each_grinds_a_little_coarser(draft, filled) -> int:
    """Everybody reads the draft and adds one to its grind; whoever is told of a conflict reads again.

    Returns:
        How many of the saves have left no trace.
    """
    gate, began = Barrier(_WRITERS), draft.grind_um

    def write() -> int:
        desk = _desk()
        for _round in range(_ROUNDS):
            fields = filled(desk, change(draft))
            gate.wait(timeout=60)  # all have read before anybody saves
            while desk.post(change(draft), fields | {"grind_um": int(fields["grind_um"]) + 1}).status_code != 302:
                fields = filled(desk, change(draft))
            gate.wait(timeout=60)
        return 0

    _at_once([write] * _WRITERS)
    draft.refresh_from_db()
    lost = began + _WRITERS * _ROUNDS - draft.grind_um
    print(f"{connection.vendor}: {_WRITERS} writers, {_ROUNDS} saves each, lost updates: {lost}")
    return lost


def test_no_update_is_lost(draft, filled):
    assert _each_grinds_a_little_coarser(draft, filled) == 0


def test_without_the_number_updates_are_lost(draft, filled, monkeypatch):
    """Negative control."""
    monkeypatch.setattr(conflicts.TokenForm, "_refuse_overwriting", lambda self: None)
    assert _each_grinds_a_little_coarser(draft, filled) > 0
