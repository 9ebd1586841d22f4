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


def copy_away() -> int:
    """Copy every record that has no copy yet, and say how many those were."""
    copies, own = place(), storages[STORE]
    if copies is None:
        return 0
    names = [name_of(kind, code) for kind in Kind for code in recorded(kind) - recorded(kind, copies)]
    for name in names:
        with own.open(name) as record:
            copies.save(name, File(record, name=name))
    return len(names)
