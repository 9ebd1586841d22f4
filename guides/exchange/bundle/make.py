"""Writes a bundle: rows at one moment first, files after, as a backup does."""

from __future__ import annotations

import io
import json
import os
import tempfile
import zipfile
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import connection, transaction
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone

from guides.exchange import archives, stored_files
from guides.exchange.manifest import Member
from guides.models import PackingRun

from . import contents, rows, schema
from .manifest import NAME, SCHEMA, Manifest

Progress = Callable[[int], object]


def size() -> int:
    """Give how many rows and files a bundle would have, for a bar."""
    counted = sum(model._base_manager.count() for model in contents.tables())
    return counted + sum(1 for _name in _files())


def make(folder: Path, progress: Progress = lambda _done: None) -> Path:
    """Write a bundle into a folder and return its path; a file of that name is whole or not there.

    Raises:
        OSError: The folder cannot be written, or a file not read.
    """
    made_at = timezone.now()
    file = folder / f"bundle-{made_at:%Y%m%dT%H%M%SZ}-{settings.VERSION}.zip"
    with tempfile.TemporaryDirectory(dir=folder, prefix=".bundle-") as scratch:
        draft = Path(scratch) / "draft.zip"
        with open(os.open(draft, os.O_RDWR | os.O_CREAT, 0o600), "w+b") as target:
            with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
                members, counts = _write_rows(archive, progress)
                description = json.dumps(schema.describe(), indent=1, ensure_ascii=False).encode()
                members[SCHEMA] = archives.add(archive, SCHEMA, io.BytesIO(description))
                for name in _files():
                    storage, path = stored_files.find(name)
                    with storage.open(path) as stored:
                        members[name] = archives.add(archive, name, stored, zipfile.ZIP_STORED)
                    progress(1)
                applied = MigrationRecorder(connection).applied_migrations()
                told = Manifest(
                    version=settings.VERSION,
                    made_at=made_at.isoformat(timespec="seconds"),
                    address=settings.PUBLIC_BASE_URL,
                    migrations=sorted(name for app, name in applied if app == "guides"),
                    tables=counts,
                    members=members,
                )
                archive.writestr(NAME, told.to_json())
            target.flush()
            os.fsync(target.fileno())
        draft.replace(file)
    return file


def _files() -> Iterator[str]:
    """Pictures, clips, records of codes, and papers that stand for a packing run; other papers are made again."""
    runs = set(PackingRun.objects.exclude(file="").values_list("file", flat=True))
    for name in stored_files.names():
        place, _slash, path = name.partition("/")
        if place != "papers" or path in runs:
            yield name


def _write_rows(archive: zipfile.ZipFile, progress: Progress) -> tuple[dict[str, Member], dict[str, int]]:
    members, counts = dict[str, Member](), dict[str, int]()
    with transaction.atomic():
        if connection.vendor == "postgresql" and not connection.savepoint_ids:
            with connection.cursor() as cursor:  # one moment for all tables
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
        for model in contents.tables():
            name = schema.file_of(model)
            lines = _Lines(rows.read(model), progress)
            members[name] = archives.add(archive, name, lines)
            counts[model._meta.label] = lines.count
    return members, counts


class _Lines:
    """Rows as a file of JSON lines, read in parts."""

    def __init__(self, lines: Iterable[dict[str, Any]], progress: Progress) -> None:
        self._lines, self._progress, self.count = iter(lines), progress, 0

    def read(self, _size: int = -1) -> bytes:
        line = next(self._lines, None)
        if line is None:
            return b""
        self.count += 1
        self._progress(1)
        return json.dumps(line, ensure_ascii=False, separators=(",", ":")).encode() + b"\n"
