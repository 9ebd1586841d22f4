"""One file with everything in it that the site could not make again: rows, pictures, papers.

The database's snapshot is taken first and the files after it. Files are written once, under names made from their
content, and before the row that names them is committed; so every file that the snapshot speaks of is there to copy,
whatever is added meanwhile. Secrets of the environment are not part of it.
"""

from __future__ import annotations

import hashlib
import os
import tempfile
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO, cast

from django.conf import settings
from django.db import connection, connections
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone

from . import fingerprints, snapshots, stored_files
from .manifest import Manifest, Member

MANIFEST = "manifest.json"
DATABASE = "database"
_CHUNK = 1 << 20

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
                    members = {DATABASE: _add(archive, DATABASE, source, zipfile.ZIP_DEFLATED)}
                names = list(stored_files.names())
                for number, name in enumerate(names):
                    report(number, len(names))
                    storage, path = stored_files.find(name)
                    with storage.open(path) as stored:
                        members[name] = _add(archive, name, cast("BinaryIO", stored), zipfile.ZIP_STORED)
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


def _add(archive: zipfile.ZipFile, name: str, source: BinaryIO, compression: int) -> Member:
    entry = zipfile.ZipInfo(name, date_time=timezone.now().timetuple()[:6])
    entry.compress_type = compression
    digest, size = hashlib.sha256(), 0
    with archive.open(entry, "w", force_zip64=True) as target:
        while chunk := source.read(_CHUNK):
            target.write(chunk)
            digest.update(chunk)
            size += len(chunk)
    return Member(size=size, sha256=digest.hexdigest())
