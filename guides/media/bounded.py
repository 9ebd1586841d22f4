"""What is sent beyond the largest file we take is never written down: nobody fills the disk with what is refused."""

from __future__ import annotations

from typing import Any

from django.core.files.uploadhandler import FileUploadHandler

from .clip import MOST_BYTES as CLIP
from .picture import MOST_BYTES as PICTURE

LARGEST = max(CLIP, PICTURE)
"""Bytes of one file. A byte more comes through, so that the form sees that it is too large and says so."""
MOST_TOGETHER = 4 * LARGEST
"""Bytes of all files of one request."""


class BoundedUploads(FileUploadHandler):
    """Stands before Django's own handlers and hands on no more than the largest file, and so much of all together."""

    def __init__(self, request: Any = None) -> None:
        super().__init__(request)
        self._together = 0

    def receive_data_chunk(self, raw_data: bytes, start: int) -> bytes | None:
        """Give the part of a chunk that may be kept; ``None`` drops it."""
        room = min(LARGEST + 1 - start, MOST_TOGETHER - self._together)
        if room <= 0:
            return None
        part = raw_data[:room]
        self._together += len(part)
        return part

    def file_complete(self, file_size: int) -> None:
        """Leave the file to the handlers after this one."""
