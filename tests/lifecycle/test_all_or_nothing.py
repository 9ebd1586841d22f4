"""A disk that is full, a database that is gone: whichever write of an act fails, all is as it was before the act.

Plain runs let every act fail at its second write, when half is done already; full counts at each of its writes.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import count, takewhile
from typing import Any

import pytest
from django.apps import apps
from django.db import OperationalError, connection, transaction

from guides.exchange import fingerprints
from tests.factories import UserFactory

from .test_roles import ACTS

pytestmark = [pytest.mark.django_db, pytest.mark.data]

FULL = os.environ.get("FULL_COUNTS") == "1"
WRITES = ("INSERT", "UPDATE", "DELETE")


class Disk:
    """Counts the writes to the database, and is full at one of them."""

    def __init__(self, full_at: int = 0) -> None:
        self.full_at, self.writes = full_at, 0

    def __call__(self, execute: Callable[..., Any], sql: str, params: Any, many: bool, context: Any) -> Any:
        if sql.startswith(WRITES):
            self.writes += 1
            if self.writes == self.full_at:
                raise OperationalError("database or disk is full")
        return execute(sql, params, many, context)


def everything() -> dict[str, fingerprints.Fingerprint]:
    return {
        model._meta.db_table: fingerprints.of_rows(fingerprints.values(model, connection.alias))
        for model in apps.get_models()
    }


@contextmanager
def undone() -> Iterator[None]:
    """What is done in here is as if it had never been."""
    before = transaction.savepoint()
    try:
        yield
    finally:
        transaction.set_rollback(False)
        transaction.savepoint_rollback(before)


def left_by(name: str, full_at: int) -> list[str] | None:
    """Name the tables that an act changed although it failed at that write; ``None`` where it has fewer writes."""
    ready, allowed = ACTS[name]
    with undone():
        act, by, disk = ready(), UserFactory(role=min(allowed)), Disk(full_at)
        before = everything()
        with connection.execute_wrapper(disk):
            try:
                act(by)
            except OperationalError:
                transaction.set_rollback(False)
                return fingerprints.differing(before, everything())
        assert disk.writes < full_at, "it went on without the disk"
        return None


@pytest.mark.parametrize("name", ACTS)
def test_an_act_that_fails_half_way_leaves_what_was(name: str) -> None:
    writes = count(1) if FULL else (2,)
    tried = list(takewhile(lambda left: left is not None, (left_by(name, write) for write in writes)))
    print(f"{connection.vendor}: {name} fails at {len(tried)} writes, {sum(map(bool, tried))} halves left")
    assert not any(tried), tried


def test_control_without_transactions_halves_are_left(monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as patch:
        patch.setattr(transaction.Atomic, "__enter__", lambda self: None)
        patch.setattr(transaction.Atomic, "__exit__", lambda self, *_what: None)
        assert any("guides_event" in table for table in left_by("publish", 2) or ())
