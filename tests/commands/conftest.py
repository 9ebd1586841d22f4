"""Sites to back up and restore."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from urllib.parse import quote

import psycopg
import pytest
from django.db import connection

from .site import Site


@pytest.fixture
def new_site(tmp_path: Path) -> Iterator[Callable[[], Site]]:
    """Make empty sites: SQLite files, or databases beside the one the tests run on."""
    made: list[str] = []

    def make() -> Site:
        name = f"site_{uuid.uuid4().hex[:12]}"
        folder = tmp_path / name
        folder.mkdir()
        if connection.vendor != "postgresql":
            return Site(folder, f"sqlite:///{folder}/roastery.sqlite3")
        _on_server(f'CREATE DATABASE "{name}"')
        made.append(name)
        told = connection.settings_dict
        who = quote(told["USER"]) + (f":{quote(told['PASSWORD'])}" if told["PASSWORD"] else "")
        port = f":{told['PORT']}" if told["PORT"] else ""
        return Site(folder, f"postgres://{who}@{quote(told['HOST'], safe='')}{port}/{name}")

    yield make
    for name in made:
        _on_server(f'DROP DATABASE "{name}" WITH (FORCE)')


@pytest.fixture
def backups(tmp_path: Path) -> Path:
    """The folder that backups go to."""
    folder = tmp_path / "backups"
    folder.mkdir()
    return folder


def _on_server(statement: str) -> None:
    told = connection.settings_dict
    where = {"host": told["HOST"], "port": told["PORT"] or None, "user": told["USER"], "password": told["PASSWORD"]}
    with closing(psycopg.connect(dbname="postgres", autocommit=True, **where)) as server:
        server.execute(statement)  # type: ignore[call-overload]
