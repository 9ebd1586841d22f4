"""Where finished papers lie: each file appears whole or not at all, and is never written again."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path
from typing import Any

from django.core.files.base import File
from django.core.files.storage import FileSystemStorage


class WriteOnceStorage(FileSystemStorage):
    """Files on disk whose names say what is in them, so that a name that exists already is the same file.

    A file is written under another name with a dot in front, forced to disk and then renamed: a worker that is killed,
    or a machine that loses power, leaves the old state or the new one.
    """

    def get_available_name(self, name: str, max_length: int | None = None) -> str:
        return name

    def _save(self, name: str, content: File[Any]) -> str:
        target = Path(self.path(name))
        if target.exists():
            return name
        target.parent.mkdir(parents=True, exist_ok=True)
        handle, draft = tempfile.mkstemp(prefix=".", dir=target.parent)
        try:
            with os.fdopen(handle, "wb") as file:
                for chunk in content.chunks():
                    file.write(chunk)
                file.flush()
                os.fsync(file.fileno())
            Path(draft).chmod(self.file_permissions_mode or 0o644)
            os.replace(draft, target)
        except BaseException:
            Path(draft).unlink(missing_ok=True)
            raise
        _force_to_disk(target.parent)
        return name


def _force_to_disk(folder: Path) -> None:
    """Keep a new name in a folder through a loss of power."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
