"""Puts a bundle into an empty site. Everything is checked before anything is written.

Rows are written in one transaction, those that refer to others *first*: the databases' guards refuse a step that is
added to a published version, and here every step is there before its version. So no guard is ever taken off. That the
references lead somewhere is checked by the database when the transaction ends.
"""

from __future__ import annotations

import json
import zipfile
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

from django.core.management.color import no_style
from django.db import DatabaseError, connection, models, transaction
from django.db.migrations.loader import MigrationLoader

from guides.exchange import archives, stored_files
from guides.lifecycle import canonical
from guides.models import GuideVersion
from guides.queries import contents as site
from guides.queries.contents import Contents

from . import contents, manifest, rows, schema
from .manifest import NAME, SCHEMA, Manifest

Progress = Callable[[int], object]
_BATCH: Final = 500


class BundleRefused(Exception):
    """Nothing was written; the text says why and what to do."""


def take_in(file: Path, progress: Progress = lambda _done: None) -> Manifest:
    """Put a bundle into this site and return what it says of itself.

    Raises:
        BundleRefused: It is damaged, of a newer version or of another kind, or the site is not empty.
    """
    with checked(file) as (archive, told):
        _refuse_filled_site(told)
        try:
            with archives.files_put_back(archive, told.members), transaction.atomic():
                _write_rows(archive, progress)
        except (DatabaseError, rows.BadRow) as error:
            raise BundleRefused(f"Its rows do not fit together: {error} Nothing was written.") from error
    return told


@contextmanager
def checked(file: Path) -> Iterator[tuple[zipfile.ZipFile, Manifest]]:
    """Open a bundle that is whole and that this version can read.

    Raises:
        BundleRefused: It is not.
    """
    with _opened(file) as archive:
        told = _read_manifest(archive)
        _refuse_newer(told)
        _refuse_damage(archive, told)
        _refuse_bad_rows(archive, told)
        yield archive, told


def _opened(file: Path) -> zipfile.ZipFile:
    try:
        return archives.opened(file, "bundle")
    except archives.BadArchive as error:
        raise BundleRefused(str(error)) from error


def _read_manifest(archive: zipfile.ZipFile) -> Manifest:
    try:
        return manifest.read(archive.read(NAME))
    except KeyError as error:
        raise BundleRefused(f"This is a ZIP file but no bundle: it has no {NAME}. A backup goes to restore.") from error
    except (zipfile.BadZipFile, zlib.error, EOFError) as error:
        raise BundleRefused("The bundle is damaged. Take another one.") from error
    except manifest.BadManifest as error:
        raise BundleRefused(f"The bundle cannot be used. {error}") from error


def _refuse_newer(told: Manifest) -> None:
    known = {name for app, name in MigrationLoader(None).disk_migrations if app == "guides"}
    if newer := sorted(set(told.migrations) - known):
        raise BundleRefused(
            f"The bundle was made by version {told.version}, which is newer than this one: its tables have "
            f"{', '.join(newer)}. Upgrade this site first."
        )


def _refuse_damage(archive: zipfile.ZipFile, told: Manifest) -> None:
    held = [name for name in archive.namelist() if name != NAME]
    if sorted(held) != sorted(told.members):
        raise BundleRefused("The bundle holds other files than it names. Take another one.")
    tables = {schema.file_of(model) for model in contents.tables()}
    for name, member in told.members.items():
        if name not in tables and name != SCHEMA and not stored_files.is_plain(name):
            raise BundleRefused(f"The bundle has a file that has no place here: {name!r}.")
        if not archives.is_whole(archive, name, member):
            raise BundleRefused(f"{name} in the bundle is damaged: its hash differs. Take another one.")


def _refuse_bad_rows(archive: zipfile.ZipFile, told: Manifest) -> None:
    """Read every row once, without a database; published versions must have the hash of their snapshot."""
    for model in contents.tables():
        name, count = schema.file_of(model), 0
        builder = rows.Builder(model, rows.called() | {owner: _Any() for owner in contents.CALLED})
        for count, line in enumerate(_lines(archive, name), 1):
            try:
                row = builder.row(line)
            except (rows.BadRow, AttributeError, TypeError) as error:
                raise BundleRefused(f"{name}, line {count}: {error}. Take another bundle.") from error
            if isinstance(row, GuideVersion) and row.is_frozen and canonical.sha256(row.snapshot) != row.sha256:
                raise BundleRefused(
                    f"{name}, line {count}: revision {row.revision} of {row.title!r} is not what was published: its "
                    "hash differs. Take another bundle."
                )
        if told.tables.get(model._meta.label, 0) != count:
            raise BundleRefused(f"{name} has another number of rows than the bundle names. Take another one.")


class _Any(dict[str, Any]):
    """Stands for rows that come with the bundle."""

    def __missing__(self, name: str) -> None:
        return None


def _refuse_filled_site(told: Manifest) -> None:
    if (found := site.found()) is not Contents.NOTHING:
        raise BundleRefused(f"This site is not empty: it holds {found.value}. A bundle goes into an empty one.")
    for name in stored_files.names():
        if name not in told.members or not stored_files.holds(name, told.members[name].sha256):
            raise BundleRefused(f"This site is not empty: it has the file {name}. A bundle goes into an empty one.")


def _write_rows(archive: zipfile.ZipFile, progress: Progress) -> None:
    tables = contents.tables()
    named = [model for model in tables if model in contents.CALLED]
    for model in named:
        _meet(model, archive)
    called = rows.called()
    links: list[tuple[models.ManyToManyField, Any, list[Any]]] = []
    for model in reversed([model for model in tables if model not in named]):
        builder = rows.Builder(model, called)
        for line in _lines(archive, schema.file_of(model)):
            row = builder.row(line)
            row.save_base(raw=True, force_insert=True)  # as it was: no rule of saving, no moment of now
            links += [(one, row.pk, keys) for one, keys in builder.several(line)]
            progress(1)
    for one, owner, keys in links:
        _link(one, owner, keys)
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), tables):
            cursor.execute(statement)


def _meet(model: type[models.Model], archive: zipfile.ZipFile) -> None:
    """Bring rows that every installation has and numbers for itself to what the bundle says of them."""
    builder = rows.Builder(model, rows.called())
    for line in _lines(archive, schema.file_of(model)):
        values = {name: value for name, value in line.items() if name in contents.CALLED[model]}
        row, _made = model._base_manager.get_or_create(**values)
        for one, keys in builder.several(line):
            getattr(row, one.name).set(keys)


def _link(one: models.ManyToManyField, owner: Any, keys: list[Any]) -> None:
    through: Any = one.remote_field.through
    mine, other = one.m2m_column_name(), one.m2m_reverse_name()
    through._base_manager.bulk_create([through(**{mine: owner, other: key}) for key in keys])


def _lines(archive: zipfile.ZipFile, name: str) -> Iterator[dict[str, Any]]:
    """Give the lines of a table; one that an older version did not have is empty."""
    if name not in archive.namelist():
        return
    with archive.open(name) as source:
        for number, line in enumerate(source, 1):
            try:
                yield json.loads(line)
            except ValueError as error:
                raise BundleRefused(f"{name}, line {number} is no JSON. Take another bundle.") from error
