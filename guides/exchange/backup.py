"""One file with everything in it that the site could not make again: rows, pictures, papers.

The database's snapshot is taken first and the files after it. Files are written once, under names made from their
content, and before the row that names them is committed; so every file that the snapshot speaks of is there to copy,
whatever is added meanwhile. Secrets of the environment are not part of it.
"""

from __future__ import annotations

import os
import tempfile
import zipfile
from collections.abc import Callable
from pathlib import Path

from django.conf import settings
from django.db import connection, connections
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone

from . import archives, fingerprints, snapshots, stored_files
from .manifest import Manifest

MANIFEST = "manifest.json"
DATABASE = "database"

Report = Callable[[int, int], None]


def make(folder: Path, report: Report = lambda _done, _total: None) -> Path:
    """Write a backup into a folder and return its path; a file of that name is whole or not there.

    Args:
        folder: where, an existing folder.
        report: told how many of how many files are in.

    Raises:
        OSError: The folder cannot be written, or a file not read.
        SnapshotFailed: The database gave no snapshot.
    """
    made_at = timezone.now()
    file = folder / f"roastery-{made_at:%Y%m%dT%H%M%SZ}-{settings.VERSION}.zip"
    with tempfile.TemporaryDirectory(dir=folder, prefix=".backup-") as scratch:
        snapshot, draft = Path(scratch) / DATABASE, Path(scratch) / "draft.zip"
        with snapshots.taken(snapshot, lambda: report(0, 1)) as moment:
            migrations = sorted(".".join(key) for key in MigrationRecorder(connections[moment]).applied_migrations())
            tables = fingerprints.of(moment, lambda: report(0, 1))
        with open(os.open(draft, os.O_RDWR | os.O_CREAT, 0o600), "w+b") as target:
            with zipfile.ZipFile(target, "w") as archive:
                with snapshot.open("rb") as source:
                    members = {DATABASE: archives.add(archive, DATABASE, source)}
                names = list(stored_files.names())
                for number, name in enumerate(names):
                    report(number, len(names))
                    storage, path = stored_files.find(name)
                    with storage.open(path) as stored:
                        members[name] = archives.add(archive, name, stored, zipfile.ZIP_STORED)
                manifest = Manifest(
                    version=settings.VERSION,
                    made_at=made_at.isoformat(timespec="seconds"),
                    address=settings.PUBLIC_BASE_URL,
                    database=connection.vendor,
                    migrations=migrations,
                    members=members,
                    tables=tables,
                )
                archive.writestr(MANIFEST, manifest.to_json())
            target.flush()
            os.fsync(target.fileno())
        draft.replace(file)
    return file
