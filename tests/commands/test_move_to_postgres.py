"""A SQLite site moved to PostgreSQL: every row equal, guards in place, and nothing written to what was left."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterator
from contextlib import closing

import psycopg
import pytest
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection, connections
from pytest_django import Settings

from guides.exchange import fingerprints, move
from guides.lifecycle import address
from guides.models import Address, Coffee, GuideVersion, Lot
from roastery import throwaway_postgres
from tests.factories import LotFactory, UserFactory, published

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif("connection.vendor != 'sqlite'", reason="it starts on SQLite"),
]


@pytest.fixture(scope="module")
def server() -> Iterator[str]:
    with throwaway_postgres.running() as url:
        yield url


@pytest.fixture
def new_database(server: str) -> Callable[[], str]:
    """Make an empty database and give its address."""

    def make() -> str:
        name = f"moved_{uuid.uuid4().hex[:8]}"
        with closing(psycopg.connect(server, autocommit=True)) as there:
            there.execute(f'CREATE DATABASE "{name}"')  # type: ignore[call-overload]
        return server.replace("/postgres", f"/{name}")

    return make


@pytest.fixture
def site() -> Iterator[Lot]:
    version = published()
    lot = LotFactory(coffee=version.guide.coffee)
    Coffee.objects.update(description="Kørsel, mørk ☕ 焙煎")
    address.issue(lot)
    UserFactory(role="packer")
    yield lot
    move.reopen()


def told() -> list[str]:
    """What the site holds, as tables and their hashes."""
    return [f"{name} {table.rows} {table.sha256}" for name, table in fingerprints.of("default").items()]


def test_everything_comes_over_equal(
    site: Lot, new_database: Callable[[], str], capsys: pytest.CaptureFixture[str], settings: Settings
) -> None:
    before, url = told(), new_database()
    call_command("move_to_postgres", to=url)
    assert "every one equal" in capsys.readouterr().out
    assert told() == before
    with closing(psycopg.connect(url)) as there:
        assert there.execute("SELECT description FROM guides_coffee").fetchone() == ("Kørsel, mørk ☕ 焙煎",)
        guards = "SELECT count(*) FROM pg_trigger WHERE tgname LIKE 'guard%' OR tgname LIKE 'stamp%'"
        assert there.execute(guards).fetchone()[0] > 50  # type: ignore[index]
        with pytest.raises(psycopg.errors.IntegrityConstraintViolation, match="published or permanent"):
            there.execute("UPDATE guides_address SET lot_id = lot_id + 1")
        there.rollback()
        # The next number is a free one.
        there.execute("INSERT INTO guides_paper (name) VALUES ('another')")
    # What was left takes nothing more, and still shows everything.
    with pytest.raises(DatabaseError, match="has moved to PostgreSQL"):
        LotFactory()
    assert Lot.objects.count() == 1
    with pytest.raises(CommandError, match="The target is not empty"):
        call_command("move_to_postgres", to=url)
    call_command("move_to_postgres", reopen=True)
    Coffee.objects.update(description="")


def test_what_cannot_come_over_leaves_all_as_it_was(site: Lot, new_database: Callable[[], str]) -> None:
    """SQLite keeps a NUL in a text, PostgreSQL does not."""
    Coffee.objects.update(description="a\0b")
    url = new_database()
    with pytest.raises(CommandError, match="nothing was kept"):
        call_command("move_to_postgres", to=url)
    with closing(psycopg.connect(url)) as there:
        assert there.execute("SELECT count(*) FROM guides_lot").fetchone() == (0,)
    Coffee.objects.update(description="written again")


def test_control_a_row_lost_on_the_way_is_noticed(
    site: Lot, new_database: Callable[[], str], monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = move._copy_table
    monkeypatch.setattr(
        move, "_copy_table", lambda model, target: Address.__name__ == model.__name__ or whole(model, target)
    )
    with pytest.raises(CommandError, match=r"not equal.*guides_address \(1 rows and 0\)"):
        call_command("move_to_postgres", to=new_database())
    Coffee.objects.update(description="still open")


@pytest.mark.parametrize(
    ("to", "why"),
    [
        ("sqlite:////tmp/other.sqlite3", "target is not PostgreSQL"),
        ("postgres://nobody@127.0.0.1:1/none", "PostgreSQL refused"),
        ("postgres://u:c4nary@h:port/n", "--to cannot be read"),
    ],
)
def test_a_target_that_is_none_is_named(to: str, why: str) -> None:
    with pytest.raises(CommandError, match=why) as refused:
        call_command("move_to_postgres", to=to)
    assert "c4nary" not in str(refused.value)
    assert set(connections.settings) == {"default"}
    assert connection.vendor == "sqlite"
    assert GuideVersion.objects.count() == 0
