"""The bytes of a PDF that was put together: the same each time, and small."""

from __future__ import annotations

from io import BytesIO

import pikepdf


def bytes_of(file: pikepdf.Pdf) -> bytes:
    """Write a file down; one that is made again of the same parts is the same byte for byte."""
    whole = BytesIO()
    file.save(whole, deterministic_id=True, object_stream_mode=pikepdf.ObjectStreamMode.generate)
    return whole.getvalue()
