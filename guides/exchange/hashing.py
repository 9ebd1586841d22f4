"""The hash of a file, read in parts."""

from __future__ import annotations

import hashlib
from typing import IO, Any

from django.core.files import File

_CHUNK = 1 << 20


def sha256_of(source: IO[bytes] | File[Any]) -> str:
    """Give the SHA-256 of what is left to read, in hexadecimal."""
    digest = hashlib.sha256()
    while chunk := source.read(_CHUNK):
        digest.update(chunk)
    return digest.hexdigest()
