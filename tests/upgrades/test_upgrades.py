"""Backups of earlier releases come up to this one with all that is printed intact; a migration that was killed goes on.

The files beside this one were made by those releases' own ``backup``, on both databases: guides, one of them with a
second revision, a draft, and printed codes; since ``at-0031``, which had so many migrations, rows of most other tables.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from django.core.management import call_command
from django.db import connection, connections
from django.db.migrations import Migration
from django.db.migrations.executor import MigrationExecutor

from guides.exchange import drill, fingerprints, restore, snapshots
from guides.exchange.backup import DATABASE
from guides.lifecycle import canonical
from guides.models import Address, GuideVersion, stamp_triggers, triggers

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.data]

RELEASES = {"at-0001": (3, 4), "at-0011": (3, 4), "at-0031": (5, 5)}
"""Each with its printed codes and published versions."""
ALIAS = drill.BESIDE
FULL = os.environ.get("FULL_COUNTS") == "1"
STRIDE = 2 if FULL else 15
"""Migrations between one kill and the next."""


class Killed(BaseException):
    """What a process that is killed does not catch either."""


@contextmanager
def old_site(release: str) -> Iterator[None]:
    """A database beside the tests' own with what the release left."""
    file = Path(__file__).with_name(f"{release}-{connection.vendor}.zip")
    with (
        restore.checked(file) as (archive, _told),
        tempfile.TemporaryDirectory() as scratch,
        drill._database_beside(Path(scratch)),
    ):
        snapshots.put_back(Path(archive.extract(DATABASE, scratch)), ALIAS)
        yield


def migrate() -> None:
    call_command("migrate", database=ALIAS, interactive=False, verbosity=0, skip_checks=True)


def printed() -> dict[str, list[tuple[object, ...]]]:
    """What is on paper, asked of the tables themselves: codes with their lots, published versions with their hashes."""
    with connections[ALIAS].cursor() as cursor:
        cursor.execute(
            "SELECT a.code, l.name FROM guides_address a JOIN guides_lot l ON l.id = a.lot_id ORDER BY a.code"
        )
        codes = cursor.fetchall()
        cursor.execute(
            "SELECT guide_id, revision, sha256 FROM guides_guideversion WHERE revision IS NOT NULL ORDER BY 1, 2"
        )
        return {"codes": codes, "published": cursor.fetchall()}


def missing() -> set[str]:
    there = connections[ALIAS]
    return triggers.missing(there) | stamp_triggers.missing(there)


@pytest.mark.parametrize("release", RELEASES)
def test_what_is_printed_comes_through_every_upgrade(release: str) -> None:
    with old_site(release):
        before = printed()
        codes, published = RELEASES[release]
        assert {name: len(rows) for name, rows in before.items()} == {"codes": codes, "published": published}
        migrate()
        assert printed() == before
        assert missing() == set()
        for version in GuideVersion.objects.using(ALIAS).filter(revision__isnull=False):
            assert canonical.sha256(version.snapshot) == version.sha256
        assert Address.objects.using(ALIAS).filter(lot__isnull=False).count() == codes


def test_a_migration_killed_half_way_goes_on(monkeypatch: pytest.MonkeyPatch) -> None:
    """Killed after a migration's work and before it is recorded; started again, and killed again further on."""
    with old_site("at-0001"):
        before, killed = printed(), 0
        while len(plan := _plan()) > STRIDE:
            with monkeypatch.context() as patched:
                patched.setattr(Migration, "apply", _killing(Migration.apply, survives=STRIDE - 1))
                with pytest.raises(Killed):
                    migrate()
            killed += 1
            assert len(_plan()) == len(plan) - STRIDE + 1, "what was done stays, what was begun is undone"
            assert missing(), "control: until it has gone on, the guards are off"
        migrate()
        assert killed > 0
        assert missing() == set()
        assert printed() == before
        resumed = fingerprints.of(ALIAS)
    if FULL:
        with old_site("at-0001"):
            migrate()
            # Groups are given their permissions at the end, in rows whose own numbers don't matter; marks tell when.
            differing = fingerprints.differing(resumed, fingerprints.of(ALIAS))
            own = ("auth_", "django_content_type", "guides_changemark")
            assert [line for line in differing if not line.startswith(own)] == []


def _plan() -> list[object]:
    executor = MigrationExecutor(connections[ALIAS])
    return list(executor.migration_plan(executor.loader.graph.leaf_nodes()))


def _killing(apply: Callable[..., object], survives: int) -> Callable[..., object]:
    done = 0

    def killed(self: Migration, *given: object, **told: object) -> object:
        nonlocal done
        state = apply(self, *given, **told)
        done += 1
        if done > survives:
            raise Killed
        return state

    return killed


def test_the_files_are_small() -> None:
    """They stay in the history of the project for good."""
    assert sum(file.stat().st_size for file in Path(__file__).parent.glob("*.zip")) < 400_000
    assert shutil.which("pg_restore") or connection.vendor == "sqlite"
