"""What becomes of backups: each has a row, a copy off the machine where that is set, and its time to go."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterable
from pathlib import Path
from typing import Final

from django.conf import settings
from django.core.files import File
from django.core.files.storage import FileSystemStorage, Storage, storages
from django.utils import timezone

from guides.models import Backup

from . import backup
from .hashing import sha256_of

COPIES: Final = "backup copies"
_NAME: Final = re.compile(r"roastery-\d{8}T\d{6}Z-[^/]+\.zip")


class NotCopied(Exception):
    """The backup is made, and lies on this machine alone; the text says why."""


def make(folder: Path, report: backup.Report = lambda _done, _total: None) -> tuple[Path, Backup]:
    """Make a backup in a folder and keep its row.

    Raises:
        OSError: The folder cannot be written, or a file not read.
        SnapshotFailed: The database gave no snapshot.
    """
    file = backup.make(folder, report)
    row, _made = Backup.objects.update_or_create(
        file=file.name, defaults={"made_at": _made_at(file), "size_bytes": file.stat().st_size}
    )
    return file, row


def own_folder() -> Path:
    """Give the folder that the site's backups are in, made if it is not there."""
    folder: Path = settings.BACKUP_DIR
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    return folder


def newest() -> Path | None:
    """Give the newest backup in the site's own folder."""
    found = sorted(path for path in own_folder().iterdir() if _NAME.fullmatch(path.name))
    return found[-1] if found else None


def copy_away(file: Path, row: Backup) -> None:
    """Copy a backup to where copies go, and read the copy back.

    Raises:
        NotCopied: It could not be, or came back different.
    """
    if not settings.BACKUP_COPY_TO:
        return
    place = storages[COPIES]
    _refuse_missing(place)
    try:
        with file.open("rb") as source:
            place.save(file.name, File(source, name=file.name))
        with file.open("rb") as source, place.open(file.name) as copy:
            equal = sha256_of(source) == sha256_of(copy)
    except Exception as error:  # each kind of store has its own
        raise NotCopied(f"{file.name} could not be copied to {settings.BACKUP_COPY_TO}: {error}") from error
    if not equal:
        raise NotCopied(f"The copy of {file.name} at {settings.BACKUP_COPY_TO} is not equal to it. Look at that disk.")
    row.copied_at = timezone.now()
    row.save(update_fields=["copied_at"])


def copy_newest() -> None:
    """Copy the newest backup, if it was made on this machine and not copied yet.

    Raises:
        NotCopied: It could not be.
    """
    row = Backup.objects.order_by("-made_at").first()
    if row is not None and not row.copied_at and (own_folder() / row.file).exists():
        copy_away(own_folder() / row.file, row)


def let_the_oldest_go() -> list[str]:
    """Remove backups beyond the number that is kept, here and among the copies; name them."""
    folder = own_folder()
    gone = _beyond(path.name for path in folder.iterdir())
    for name in gone:
        (folder / name).unlink(missing_ok=True)
    if settings.BACKUP_COPY_TO:
        place = storages[COPIES]
        for name in _beyond(place.listdir("")[1]):
            place.delete(name)
    Backup.objects.filter(file__in=gone).delete()
    return gone


def _beyond(names: Iterable[str]) -> list[str]:
    """Names of backups, all but the newest; anything else in the folder is none of ours."""
    return sorted(filter(_NAME.fullmatch, names), reverse=True)[settings.BACKUP_KEEP :]


def _made_at(file: Path) -> datetime.datetime:
    stamp = file.name.split("-")[1]
    return datetime.datetime.strptime(stamp, "%Y%m%dT%H%M%SZ").replace(tzinfo=datetime.UTC)


def _refuse_missing(place: Storage) -> None:
    """A folder that has gone is a disk that is not mounted: making it would copy onto this machine's own."""
    if isinstance(place, FileSystemStorage) and not Path(place.location).is_dir():
        raise NotCopied(f"{place.location} is not there, so nothing was copied off this machine. Is its disk mounted?")
