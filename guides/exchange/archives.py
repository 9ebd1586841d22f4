"""What backups and bundles have in common as files: members are hashed on the way in and looked at on the way out."""

from __future__ import annotations

import hashlib
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

from django.core.files import File
from django.utils import timezone

from . import stored_files
from .hashing import sha256_of
from .manifest import Member

_CHUNK: Final = 1 << 20


class BadArchive(Exception):
    """It cannot be opened; the text says why."""


def add(archive: zipfile.ZipFile, name: str, source: Any, compression: int = zipfile.ZIP_DEFLATED) -> Member:
    """Write a member in parts; ``source`` has a ``read``."""
    entry = zipfile.ZipInfo(name, date_time=timezone.now().timetuple()[:6])
    entry.compress_type = compression
    digest, size = hashlib.sha256(), 0
    with archive.open(entry, "w", force_zip64=True) as target:
        while chunk := source.read(_CHUNK):
            target.write(chunk)
            digest.update(chunk)
            size += len(chunk)
    return Member(size=size, sha256=digest.hexdigest())


def opened(file: Path, kind: str) -> zipfile.ZipFile:
    """Open an archive to read; ``kind`` is what it should be, in a word.

    Raises:
        BadArchive: It is damaged, something else, or not to be read.
    """
    try:
        return zipfile.ZipFile(file)
    except zipfile.BadZipFile as error:
        raise BadArchive(f"{file.name} is damaged or no {kind}: {error}. Take another one.") from error
    except OSError as error:
        raise BadArchive(f"{file} cannot be read: {error.strerror or error}.") from error


def is_whole(archive: zipfile.ZipFile, name: str, member: Member) -> bool:
    """Tell whether a member is what was written."""
    try:
        with archive.open(name) as source:
            return sha256_of(source) == member.sha256
    except (zipfile.BadZipFile, zlib.error, EOFError):
        return False


@contextmanager
def files_put_back(archive: zipfile.ZipFile, members: Mapping[str, Member]) -> Iterator[None]:
    """Store the files that are not there yet, before the rows that name them. If those fail, the files go again."""
    stored = []
    try:
        for name, member in members.items():
            if stored_files.is_plain(name) and not stored_files.holds(name, member.sha256):
                storage, path = stored_files.find(name)
                with archive.open(name) as source:
                    stored.append((storage, storage.save(path, File(source, name=path))))
        yield
    except BaseException:
        for storage, path in stored:
            storage.delete(path)
        raise
