"""Whole sites of their own for tests, empty or set up; they begin as copies, as migrating each would take seconds."""

from __future__ import annotations

import shutil
import uuid
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import TypeVar
from urllib.parse import quote

import psycopg
import pytest
from django.db import connection

from .site import Site

Kind = TypeVar("Kind", bound=Site)


@pytest.fixture(scope="session")
def blank_site(tmp_path_factory: pytest.TempPathFactory, django_db_setup: None) -> Iterator[Site]:
    """A site with its tables and nothing in them."""
    site = begun(tmp_path_factory.mktemp("blank"))
    site.must("migrate", "-v0")
    yield site
    drop(site)


@pytest.fixture
def new_site(tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[Callable[[], Site]]:
    """Make empty sites: SQLite files, or databases beside the one the tests run on."""
    made: list[Site] = []

    def make() -> Site:
        site = begun(tmp_path, lambda: _copy(request.getfixturevalue("blank_site"), site))
        made.append(site)
        return site

    yield make
    for site in made:
        drop(site)


def begun(under: Path, set_up: Callable[[], None] = lambda: None, kind: type[Kind] = Site) -> Kind:
    """Begin a site in a folder, with an empty database of its own."""
    name = f"site_{uuid.uuid4().hex[:12]}"
    folder = under / name
    folder.mkdir()
    if connection.vendor != "postgresql":
        return kind(name, folder, f"sqlite:///{folder}/roastery.sqlite3", set_up)
    told = connection.settings_dict
    who = quote(told["USER"]) + (f":{quote(told['PASSWORD'])}" if told["PASSWORD"] else "")
    port = f":{told['PORT']}" if told["PORT"] else ""
    _on_server(f'CREATE DATABASE "{name}"')
    return kind(name, folder, f"postgres://{who}@{quote(told['HOST'], safe='')}{port}/{name}", set_up)


def _copy(blank: Site, site: Site) -> None:
    shutil.copytree(blank.folder, site.folder, dirs_exist_ok=True)
    if connection.vendor == "postgresql":
        drop(site)
        _on_server(f'CREATE DATABASE "{site.name}" TEMPLATE "{blank.name}"')


def drop(site: Site) -> None:
    """Remove a site's database."""
    if connection.vendor == "postgresql":
        _on_server(f'DROP DATABASE IF EXISTS "{site.name}" WITH (FORCE)')


def _on_server(statement: str) -> None:
    told = connection.settings_dict
    where = {"host": told["HOST"], "port": told["PORT"] or None, "user": told["USER"], "password": told["PASSWORD"]}
    with closing(psycopg.connect(dbname="postgres", autocommit=True, **where)) as server:
        server.execute(statement)  # type: ignore[call-overload]
