"""Files that appear whole or not at all."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterable
from pathlib import Path


def write_whole(target: Path, chunks: Iterable[bytes], mode: int = 0o644) -> None:
    """Write a file under another name with a dot in front, force it to disk, then rename it.

    A process that is killed, or a machine that loses power, leaves the old state or the new one.

    Args:
        target: the file, in a folder that exists.
        chunks: its bytes.
        mode: who may read it.

    Raises:
        OSError: it cannot be written; nothing has changed.
    """
    handle, draft = tempfile.mkstemp(prefix=".", dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.writelines(chunks)
            file.flush()
            os.fsync(file.fileno())
        Path(draft).chmod(mode)
        Path(draft).replace(target)
    except BaseException:
        Path(draft).unlink(missing_ok=True)
        raise
    _force_to_disk(target.parent)


def _force_to_disk(folder: Path) -> None:
    """Keep a new name in a folder through a loss of power."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
