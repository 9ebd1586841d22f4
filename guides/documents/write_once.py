"""Where finished papers lie: each file is written once, and its name says what is in it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.files.base import File
from django.core.files.storage import FileSystemStorage

from .whole_files import write_whole


class WriteOnceStorage(FileSystemStorage):
    """Files on disk of which a name that exists already is the same file, and is left alone."""

    def get_available_name(self, name: str, max_length: int | None = None) -> str:
        return name

    def _save(self, name: str, content: File[Any]) -> str:
        target = Path(self.path(name))
        if not target.exists():
            target.parent.mkdir(parents=True, exist_ok=True)
            write_whole(target, content.chunks(), self.file_permissions_mode or 0o644)
        return name
