"""A backup put back into an empty site. Everything is checked before anything is written.

Files go first and the database last, in one piece: a restore that was cut off leaves an empty site, and is simply
started again.
"""

from __future__ import annotations

import tempfile
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.core.management import call_command
from django.db import connection
from django.db.migrations.loader import MigrationLoader

from guides.models import User, mark_triggers
from guides.queries import contents
from guides.queries.contents import Contents

from . import archives, manifest, snapshots, stored_files
from .backup import DATABASE, MANIFEST
from .manifest import Manifest


class RestoreRefused(Exception):
    """Nothing was written; the text says why and what to do."""


def restore(file: Path) -> Manifest:
    """Put a backup back and return what it says of itself.

    Raises:
        RestoreRefused: The file is damaged or of another kind, or the site is not empty.
        SnapshotFailed: The database refused the snapshot; it is as it was.
    """
    with checked(file) as (archive, told):
        _refuse_filled_site(told)
        _put_back(archive, told)
    return told


@contextmanager
def checked(file: Path) -> Iterator[tuple[zipfile.ZipFile, Manifest]]:
    """Open a backup that is whole and can be restored by this version on this kind of database.

    Raises:
        RestoreRefused: It is not.
    """
    with _opened(file) as archive:
        told = _read_manifest(archive)
        _refuse_unfit(told)
        _refuse_damage(archive, told)
        yield archive, told


def _opened(file: Path) -> zipfile.ZipFile:
    try:
        return archives.opened(file, "backup")
    except archives.BadArchive as error:
        raise RestoreRefused(str(error)) from error


def _read_manifest(archive: zipfile.ZipFile) -> Manifest:
    try:
        return manifest.read(archive.read(MANIFEST))
    except KeyError as error:
        raise RestoreRefused("This is a ZIP file but no backup of this site: it has no manifest.") from error
    except manifest.BadManifest as error:
        raise RestoreRefused(f"The backup cannot be used. {error}") from error


def _refuse_unfit(told: Manifest) -> None:
    if told.database != connection.vendor:
        raise RestoreRefused(
            f"The backup is of a site on {told.database}, this one is on {connection.vendor}. "
            "Restore it with a DATABASE_URL of its own kind."
        )
    known = {".".join(key) for key in MigrationLoader(None).disk_migrations}
    if newer := sorted(set(told.migrations) - known):
        raise RestoreRefused(
            f"The backup was made by version {told.version}, which is newer than this one: its tables have "
            f"{', '.join(newer)}. Upgrade this site first."
        )


def _refuse_damage(archive: zipfile.ZipFile, told: Manifest) -> None:
    held = [name for name in archive.namelist() if name != MANIFEST]
    if sorted(held) != sorted(told.members):
        raise RestoreRefused("The backup holds other files than its manifest names. Take another one.")
    for name, member in told.members.items():
        if name != DATABASE and not stored_files.is_plain(name):
            raise RestoreRefused(f"The backup has a file that would land outside its folders: {name!r}.")
        if not archives.is_whole(archive, name, member):
            raise RestoreRefused(f"{name} in the backup is damaged: its hash differs. Take another backup.")


def _refuse_filled_site(told: Manifest) -> None:
    # Users alone are no work yet: the first start of a site makes one, and the backup brings its own.
    if (found := contents.found(besides=(User,))) is not Contents.NOTHING:
        raise RestoreRefused(f"This site is not empty: it holds {found.value}. Restore into an empty one.")
    # Files may have outlived their database. They are written once, so they are the backup's own or of no harm; and
    # records of codes are what tells which bags went out after the backup.
    for name in stored_files.names():
        if name in told.members and not stored_files.holds(name, told.members[name].sha256):
            raise RestoreRefused(
                f"This site has another file of the name {name}. If it is damaged, remove it; if it is another site's, "
                "restore into an empty folder or bucket."
            )


def _put_back(archive: zipfile.ZipFile, told: Manifest) -> None:
    with (
        archives.files_put_back(archive, told.members),
        tempfile.TemporaryDirectory(prefix="guides-restore-") as scratch,
    ):
        snapshots.put_back(Path(archive.extract(DATABASE, scratch)))
    # Brings an older backup's tables up to date, and puts the guards on.
    call_command("migrate", interactive=False, verbosity=0)
    mark_triggers.mark_all(connection)
