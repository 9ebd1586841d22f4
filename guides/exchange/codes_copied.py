"""Copies records of codes to where backups are copied, so that a disk that fails does not take both."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from django.conf import settings
from django.core.files import File
from django.core.files.storage import Storage, storages

from guides.queries.code_records import STORE, Kind, name_of, recorded

COPIES: Final = "code copies"


def place() -> Storage | None:
    """Where copies lie; ``None`` where there is no such place, or its disk is not mounted."""
    to = settings.BACKUP_COPY_TO
    if not to or COPIES not in storages.backends or (isinstance(to, Path) and not to.is_dir()):
        return None
    return storages[COPIES]


def copy_away() -> None:
    """Copy every record that has no copy yet."""
    if (copies := place()) is not None:
        _copy(storages[STORE], copies)


def bring_back() -> None:
    """Copy every record back that is only among the copies."""
    if (copies := place()) is not None:
        _copy(copies, storages[STORE])


def _copy(here: Storage, there: Storage) -> None:
    for kind in Kind:
        for code in recorded(kind, here) - recorded(kind, there):
            with here.open(name_of(kind, code)) as record:
                there.save(name_of(kind, code), File(record, name=name_of(kind, code)))
