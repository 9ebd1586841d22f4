"""Many people at once, in threads with connections of their own."""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import DatabaseError, connection, connections
from django.db.models import QuerySet

from guides.lifecycle.errors import Refused
from guides.models import User
from guides.models.base import FrozenRow

THREADS, ROUNDS = (20, 10) if os.environ.get("FULL_COUNTS") == "1" else (8, 4)


def together(people: list[User], act: Callable[[User], object], rounds: int) -> list[Exception]:
    """Everybody starts at the same moment and acts so many times; give what went wrong."""
    start = threading.Barrier(len(people))

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

    with ThreadPoolExecutor(len(people)) as pool:
        return [error for errors in pool.map(worker, people) for error in errors]


def take_the_lock_off(monkeypatch: pytest.MonkeyPatch) -> None:
    """For negative controls: no row lock on PostgreSQL, no IMMEDIATE on SQLite."""
    monkeypatch.setattr(QuerySet, "select_for_update", lambda self, **_options: self)
    if connection.vendor == "sqlite":
        monkeypatch.setitem(connections.settings["default"]["OPTIONS"], "transaction_mode", "DEFERRED")
