"""A restore rehearsed: a backup is restored beside the live site, and what comes out is compared.

With the hashes taken when the backup was made, row by row and file by file; and with the live site, for what must never
change there: codes that were printed and guides that were published. Nothing of the live site is touched.
"""

from __future__ import annotations

import tempfile
import uuid
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from django.core.management import call_command
from django.db import Error, connections
from django.utils import timezone

from guides.choices import FROZEN_STATES
from guides.models import Address, Backup, GuideVersion, stamp_triggers, triggers

from . import fingerprints, restore, snapshots
from .backup import DATABASE
from .manifest import Manifest

BESIDE: Final = "drill"
"""Alias of the database that a drill restores into."""


class DrillImpossible(Exception):
    """There is nowhere to restore to; the text says what to do."""


@dataclass
class Drilled:
    """What a drill compared and what it found wrong; ``faults`` is empty where the backup proved."""

    told: Manifest
    tables: int = 0
    rows: int = 0
    codes: int = 0
    published: int = 0
    faults: list[str] = field(default_factory=list)

    @property
    def files(self) -> int:
        return len(self.told.members) - 1


def drill(file: Path) -> Drilled:
    """Restore a backup beside the live site, compare, and clear away; its row keeps the outcome.

    Raises:
        RestoreRefused: The file is damaged or cannot be restored here.
        SnapshotFailed: The database refused the snapshot.
        DrillImpossible: No database can be made beside the live one.
    """
    try:
        found = _drill(file)
    except (restore.RestoreRefused, snapshots.SnapshotFailed) as error:
        _keep(file, [str(error)])
        raise
    _keep(file, found.faults)
    return found


def _drill(file: Path) -> Drilled:
    with (
        restore.checked(file) as (archive, told),
        tempfile.TemporaryDirectory(prefix="guides-drill-") as scratch,
        _database_beside(Path(scratch)),
    ):
        found = Drilled(told)
        _compare_rows(archive, found, Path(scratch))
        call_command("migrate", database=BESIDE, interactive=False, verbosity=0, skip_checks=True)
        _look_for_guards(found)
        _compare_with_live(found)
    return found


def _keep(file: Path, faults: list[str]) -> None:
    outcome = {"proven_at": None if faults else timezone.now(), "fault": "\n".join(faults)}
    Backup.objects.filter(file=file.name).update(**outcome)


def _compare_rows(archive: zipfile.ZipFile, found: Drilled, scratch: Path) -> None:
    snapshots.put_back(Path(archive.extract(DATABASE, scratch)), BESIDE)
    restored = fingerprints.of(BESIDE)
    found.tables, found.rows = len(restored), sum(table.rows for table in restored.values())
    if not found.told.tables:
        found.faults.append("The backup is of an early format, without hashes of its tables. Make a new one.")
        return
    found.faults += [
        f"Restored rows differ from the backup's: {table}."
        for table in fingerprints.differing(found.told.tables, restored)
    ]


def _look_for_guards(found: Drilled) -> None:
    missing = triggers.missing(connections[BESIDE]) | stamp_triggers.missing(connections[BESIDE])
    if missing:
        found.faults.append(f"{len(missing)} guards are missing after restoring, the first being {min(missing)}.")


def _compare_with_live(found: Drilled) -> None:
    """Codes and published guides of the backup must be on the live site as they were."""
    codes, published = _codes(BESIDE), _published(BESIDE)
    found.codes, found.published = len(codes), len(published)
    live_codes, live_published = _codes("default"), _published("default")
    found.faults += [
        f"The code {code} of the backup {'leads elsewhere' if code in live_codes else 'is missing'} on the live site."
        for code, lot in codes.items()
        if live_codes.get(code) != lot
    ]
    found.faults += [
        f"Revision {revision} of guide {guide} has another hash on the live site."
        for (guide, revision), digest in published.items()
        if live_published.get((guide, revision)) != digest
    ]


def _codes(alias: str) -> dict[str, int]:
    return dict(Address.objects.using(alias).values_list("code", "lot_id"))


def _published(alias: str) -> dict[tuple[int, int | None], str]:
    rows = GuideVersion.objects.using(alias).filter(state__in=FROZEN_STATES)
    return {
        (guide, revision): digest for guide, revision, digest in rows.values_list("guide__number", "revision", "sha256")
    }


@contextmanager
def _database_beside(scratch: Path) -> Iterator[None]:
    """An empty database of the same kind, gone afterwards."""
    if connections["default"].vendor != "postgresql":
        with snapshots.beside(BESIDE, {"NAME": scratch / "restored.sqlite3"}):
            yield
        return
    name = f"guides_drill_{uuid.uuid4().hex[:12]}"
    try:
        _on_server(f'CREATE DATABASE "{name}" TEMPLATE template0')
    except Error as error:
        raise DrillImpossible(
            f"No database can be made beside the live one: {error}".rstrip()
            + "\nLet its user make some (ALTER ROLE … CREATEDB), and start the drill again."
        ) from error
    try:
        with snapshots.beside(BESIDE, {"NAME": name}):
            yield
    finally:
        _on_server(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')


def _on_server(statement: str) -> None:
    server: Any = connections["default"].copy("server")
    try:
        with server.cursor() as cursor:
            cursor.execute(statement)
    finally:
        server.close()
